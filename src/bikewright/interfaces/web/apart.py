"""Long questions, answered in a process of their own: the thread that answers windows never waits for one.

Question answered   What does a study of seconds say, and how far is it meanwhile?
Method              One process, started when the first long question comes and ended when none came for a while. One
                    question at a time, the newest that somebody still wants first; one that nobody wants any more is
                    given up with its process. Answers are kept by the key of their question, a few of them. Questions
                    go over as pickles, from this server to its own process only; answers come back as JSON, a line
                    each.
Left out            Computing.
"""

import asyncio
import contextlib
import json
import pickle
import struct
import sys
import time
from collections import OrderedDict
from typing import Any

from bikewright.errors import EnvironmentFault
from bikewright.interfaces.cli.main import error_as_json
from bikewright.interfaces.web.long_questions import LongQuestion

PROCESS = "bikewright.interfaces.web.apart_process"
WANTED_S = 2.0
"""A question that nobody has asked for so long is given up."""
IDLE_S = 120.0
"""The process ends after so long without a question."""
LOOKED_S = 0.25
"""How often it is asked whether somebody still wants the question in hand."""
KEPT = 12
"""Answers that are kept."""
LONGEST_LINE = 32_000_000
"""Bytes of an answer."""


class Job:
    """A question, how far it is, and its answer once there is one."""

    def __init__(self, question: LongQuestion):
        self.question = question
        self.asked_at = time.monotonic()
        self.begun_at: float | None = None
        self.waiting = 0
        self.done, self.of = 0, 0
        self.answer: dict[str, Any] | None = None
        self.ended = asyncio.Event()

    @property
    def is_wanted(self) -> bool:
        """Whether somebody waits for it, or asked lately."""
        return self.waiting > 0 or time.monotonic() - self.asked_at < WANTED_S

    @property
    def taken_s(self) -> float:
        """Time since it was begun, or asked."""
        return time.monotonic() - (self.asked_at if self.begun_at is None else self.begun_at)


class Apart:
    """The process and the questions for it. On the event loop."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._process: asyncio.subprocess.Process | None = None
        self._runner: asyncio.Task[None] | None = None
        self._some = asyncio.Event()

    async def ask(self, question: LongQuestion, wait_s: float | None = None) -> Job:
        """Have a question answered; returns when it is, or after a while with how far it is.

        Parameters
        ----------
        question : LongQuestion
            What is asked.
        wait_s : float, optional
            How long to wait [s]; to the end where none is given.

        Returns
        -------
        Job
            Its ``answer`` is None while there is none.
        """
        job = self._job(question)
        job.waiting += 1
        try:
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(wait_s):
                    await job.ended.wait()
        finally:
            job.waiting -= 1
            job.asked_at = time.monotonic()
        return job

    async def end(self) -> None:
        """End the process, whatever it is at."""
        if self._runner is not None:
            self._runner.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await self._runner
        await self._stop()
        for job in [job for job in self._jobs.values() if job.answer is None]:
            self._given_up(job, "the server ends; ask again when it is back")

    def _job(self, question: LongQuestion) -> Job:
        job = self._jobs.get(question.key)
        if job is None:
            job = self._jobs[question.key] = Job(question)
        self._jobs.move_to_end(question.key)
        job.asked_at = time.monotonic()
        self._some.set()
        if self._runner is None or self._runner.done():
            self._runner = asyncio.get_running_loop().create_task(self._run())
        return job

    async def _run(self) -> None:
        try:
            while True:
                job = self._next()
                if job is not None:
                    await self._work(job)
                    continue
                self._some.clear()
                async with asyncio.timeout(IDLE_S):  # unlike wait_for it is never deaf to the end of the server
                    await self._some.wait()
        except TimeoutError:
            await self._stop()

    def _next(self) -> Job | None:
        """The newest that is wanted and not answered; what nobody wants is forgotten, and the oldest answers."""
        waiting = [(key, job) for key, job in self._jobs.items() if job.answer is None]
        for key, job in waiting:
            if not job.is_wanted:
                del self._jobs[key]
        answered = [key for key, job in self._jobs.items() if job.answer is not None]
        for key in answered[: max(len(answered) - KEPT, 0)]:
            del self._jobs[key]
        wanted = [job for _, job in waiting if job.is_wanted]
        return wanted[-1] if wanted else None

    async def _work(self, job: Job) -> None:
        """One question; given up, with its process, as soon as nobody wants it."""
        try:
            process = await self._started()
            assert process.stdin is not None and process.stdout is not None
            sent = pickle.dumps(job.question)
            process.stdin.write(struct.pack(">Q", len(sent)) + sent)
            await process.stdin.drain()
            job.begun_at = time.monotonic()
            while job.answer is None:
                if not job.is_wanted:
                    await self._stop()
                    return
                try:
                    async with asyncio.timeout(LOOKED_S):
                        line = await process.stdout.readline()
                except TimeoutError:
                    continue
                if not line:
                    raise BrokenPipeError
                told = json.loads(line)
                if "done" in told:
                    job.done, job.of = told["done"], told["of"]
                else:
                    job.answer = told
        except (OSError, ValueError) as error:
            await self._stop()
            self._given_up(job, f"the study ended before it was done ({type(error).__name__}); ask again")
        job.ended.set()

    def _given_up(self, job: Job, why: str) -> None:
        """There is no answer, and the same question may be asked again."""
        job.answer = {"error": error_as_json(EnvironmentFault(why))}
        self._jobs.pop(job.question.key, None)
        job.ended.set()

    async def _started(self) -> asyncio.subprocess.Process:
        if self._process is None or self._process.returncode is not None:
            # a session of its own: a key that interrupts the server ends this one through its closed line instead
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", PROCESS, stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
                limit=LONGEST_LINE, start_new_session=True,
            )  # fmt: skip
        return self._process

    async def _stop(self) -> None:
        process, self._process = self._process, None
        if process is not None and process.returncode is None:
            with contextlib.suppress(ProcessLookupError):
                process.kill()
            await process.wait()
