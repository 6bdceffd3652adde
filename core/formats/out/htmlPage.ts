// A page that is one file: its style inside, nothing fetched, nothing that runs.
import { xmlText } from './xmlText.ts';

/** `parts`: markup, one after the other. */
export const htmlPage = (title: string, css: string, parts: readonly string[]): string =>
  [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width">',
    `<title>${xmlText(title)}</title>`,
    `<style>${css}</style>`,
    '</head>',
    '<body>',
    ...parts,
    '</body>',
    '</html>',
    '',
  ].join('\n');
