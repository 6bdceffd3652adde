// XML as GPX and KML files use it: elements, attributes, text. npm htmlparser2 reads it: it accepts what such files get
// wrong, expands no entity but XML's own five and opens no other file. Depth and size are bounded here, because the
// package's time grows with the square of the depth.
import { Parser } from 'htmlparser2';
import { shown } from './shown.ts';
import type { Findings } from './text.ts';

export interface XmlElement {
  /** The local name: "gx:coord" is "coord". */
  readonly name: string;
  readonly line: number;
  readonly attributes: ReadonlyMap<string, string>;
  readonly children: readonly XmlElement[];
  /** All text directly inside, in order, character data and CDATA. */
  readonly text: string;
}

interface Open extends XmlElement {
  readonly children: Open[];
  text: string;
}

const MOST_DEPTH = 100;
const MOST_ELEMENTS = 2_000_000;

const localName = (name: string): string => name.slice(name.lastIndexOf(':') + 1);

/** Counts lines up to places that never go back, so that a file of one long line is searched once. */
function lineCounter(text: string): (to: number) => number {
  let line = 1;
  let lineEnd = text.indexOf('\n');
  return (to) => {
    for (; lineEnd >= 0 && lineEnd < to; lineEnd = text.indexOf('\n', lineEnd + 1)) line++;
    return line;
  };
}

/** `open`: the innermost element that the text does not close; the nameless root where it closes all. */
function sayWhereCut(text: string, open: XmlElement, lineAt: (to: number) => number, findings: Findings): void {
  const lastTag = text.lastIndexOf('<');
  if (lastTag >= 0 && !text.includes('>', lastTag)) {
    const cut = shown(text.slice(lastTag, lastTag + 30));
    findings.add('broken tags', { line: lineAt(lastTag) }, `${cut} has no ">": the file is cut off there`);
  }
  if (open.name !== '')
    findings.add(
      'unclosed elements',
      { line: lineAt(text.length) },
      `the file ends inside <${open.name}>: it is cut off`,
    );
}

/** The document as one nameless element whose children are the elements at the top. */
export function readXml(text: string, findings: Findings): XmlElement {
  const root: Open = { name: '', line: 1, attributes: new Map(), children: [], text: '' };
  const stack = [root];
  const lineAt = lineCounter(text);
  let count = 0;
  let over = false;
  const stop = (kind: string, why: string): void => {
    findings.add(kind, { line: lineAt(parser.startIndex) }, `${why}: the rest is not read`);
    over = true;
    parser.pause();
  };
  const parser = new Parser(
    {
      onopentag: (tag, found) => {
        const attributes = new Map(Object.entries(found).map(([name, value]) => [localName(name), value]));
        const line = lineAt(parser.startIndex);
        const element: Open = { name: localName(tag), line, attributes, children: [], text: '' };
        stack.at(-1)?.children.push(element);
        stack.push(element);
        if (stack.length > MOST_DEPTH)
          stop('elements too deep', `<${element.name}> lies more than ${MOST_DEPTH} elements deep`);
        if (++count >= MOST_ELEMENTS) stop('files too large', `more than ${MOST_ELEMENTS} elements`);
      },
      ontext: (data) => {
        const top = stack.at(-1);
        if (top !== undefined) top.text += data;
      },
      onclosetag: (tag, implied) => {
        stack.pop();
        // The package calls the end of <a/> implied too.
        if (!implied || text.charAt(parser.endIndex - 1) === '/' || over) return;
        const line = lineAt(parser.startIndex);
        findings.add('unclosed elements', { line }, `<${localName(tag)}> is not closed before the end of its parent`);
      },
    },
    { xmlMode: true },
  );
  parser.write(text);
  if (!over) sayWhereCut(text, stack.at(-1) ?? root, lineAt, findings);
  over = true;
  parser.end();
  return root;
}

/**
 * Every element of this name anywhere below, in the order of the text; those inside one that was found are not looked
 * for.
 */
export function elementsNamed(root: XmlElement, name: string): XmlElement[] {
  const found: XmlElement[] = [];
  const visit = (element: XmlElement): void => {
    for (const child of element.children) {
      if (child.name === name) found.push(child);
      else visit(child);
    }
  };
  visit(root);
  return found;
}

export const childNamed = (element: XmlElement, name: string): XmlElement | undefined =>
  element.children.find((child) => child.name === name);

/** The trimmed text of a child; '' where it is missing or empty. */
export const childText = (element: XmlElement, name: string): string => childNamed(element, name)?.text.trim() ?? '';
