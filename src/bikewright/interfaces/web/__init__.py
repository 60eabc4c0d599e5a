"""The workbench in a browser: it hands questions to the studies and their answers to the page. No arithmetic."""
