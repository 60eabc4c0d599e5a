// What the page uses of htm/preact. Its own declarations need preact's, which the page does not take.

/** What is drawn: an element, or a list of them. */
export type Drawn = object | null;
export function html(words: TemplateStringsArray, ...values: unknown[]): Drawn;
export function render(what: Drawn, host: Element): void;
export function useState<T>(first: T | (() => T)): [T, (next: T | ((before: T) => T)) => void];
export function useRef<T>(first: T): { current: T };
export function useEffect(what: () => void | (() => void), when?: readonly unknown[]): void;
export function useLayoutEffect(what: () => void | (() => void), when?: readonly unknown[]): void;
