// A small reader of XML as GPX and KML files use it: elements, attributes, text. Tolerant of what such files get wrong,
// and safe with hostile ones: no DTD is read, no entity is expanded but the five of XML 1.0 §4.6 and character
// references, depth and size are bounded.
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

interface Open {
  readonly name: string;
  readonly line: number;
  readonly attributes: Map<string, string>;
  readonly children: XmlElement[];
  text: string;
}

const MOST_DEPTH = 100;
const MOST_ELEMENTS = 2_000_000;

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" };

function unescaped(text: string): string {
  if (!text.includes('&')) return text;
  return text.replace(
    /&(?:#(\d{1,7})|#x([0-9A-Fa-f]{1,6})|([a-z]{2,4}));/g,
    (whole: string, decimal?: string, hex?: string, name?: string) => {
      if (name !== undefined) return ENTITIES[name] ?? whole;
      const code = decimal === undefined ? Number.parseInt(hex ?? '', 16) : Number(decimal);
      return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : whole;
    },
  );
}

const localName = (name: string): string => name.slice(name.lastIndexOf(':') + 1);

/** Where a tag that begins at `from` ends: the ">" outside quotes; −1 where it never does. */
function tagEnd(text: string, from: number): number {
  let quote = '';
  for (let i = from; i < text.length; i++) {
    const c = text.charAt(i);
    if (quote !== '') {
      if (c === quote) quote = '';
    } else if (c === '"' || c === "'") quote = c;
    else if (c === '>') return i;
  }
  return -1;
}

/**
 * name="value" pairs. By words, not by one expression for a pair: a tag of a million characters still takes one pass.
 */
function attributesOf(tag: string): Map<string, string> {
  const found = new Map<string, string>();
  let name = '';
  let equals = false;
  for (const [word] of tag.matchAll(/[^\s=/"'<>]+|=|"[^"]*"|'[^']*'/g)) {
    const quoted = word.startsWith('"') || word.startsWith("'");
    if (quoted && equals && name !== '') found.set(localName(name), unescaped(word.slice(1, -1)));
    if (word === '=') equals = true;
    else {
      name = quoted ? '' : word;
      equals = false;
    }
  }
  return found;
}

/** Sections that hold no element: comment, CDATA (its text counts), processing instruction, document type. */
function skipped(text: string, at: number): { readonly end: number; readonly data: string } | null {
  for (const [start, stop, isData] of [
    ['<!--', '-->', false],
    ['<![CDATA[', ']]>', true],
    ['<?', '?>', false],
  ] as const) {
    if (!text.startsWith(start, at)) continue;
    const close = text.indexOf(stop, at + start.length);
    const end = close < 0 ? text.length : close + stop.length;
    return { end, data: isData ? text.slice(at + start.length, close < 0 ? text.length : close) : '' };
  }
  if (!text.startsWith('<!', at)) return null;
  // A document type may hold an internal subset in brackets; all of it is passed over unread.
  const plain = text.indexOf('>', at);
  const subset = plain < 0 ? -1 : text.slice(at, plain).indexOf('[');
  const close = subset >= 0 ? text.indexOf(']>', at + subset) + 1 : plain;
  return { end: close <= 0 ? text.length : close + 1, data: '' };
}

class Builder {
  readonly root: Open = { name: '', line: 1, attributes: new Map(), children: [], text: '' };
  readonly #stack: Open[] = [this.root];
  readonly #findings: Findings;
  #count = 0;
  #tooDeep = 0;

  constructor(findings: Findings) {
    this.#findings = findings;
  }

  get full(): boolean {
    return this.#count >= MOST_ELEMENTS;
  }

  text(text: string): void {
    const top = this.#stack.at(-1);
    if (top !== undefined && this.#tooDeep === 0) top.text += text;
  }

  open(tag: string, line: number): void {
    const name = localName(/^[^\s/>]+/.exec(tag)?.[0] ?? '');
    const selfClosing = tag.endsWith('/');
    const element: Open = { name, line, attributes: attributesOf(tag.slice(name.length)), children: [], text: '' };
    this.#count++;
    if (this.#stack.length >= MOST_DEPTH) {
      if (!selfClosing) this.#tooDeep++;
      this.#findings.add(
        'elements too deep',
        { line },
        `<${name}> lies more than ${MOST_DEPTH} elements deep: left out`,
      );
      return;
    }
    this.#stack.at(-1)?.children.push(element);
    if (!selfClosing) this.#stack.push(element);
  }

  close(tag: string, line: number): void {
    if (this.#tooDeep > 0) {
      this.#tooDeep--;
      return;
    }
    const name = localName(tag.trim());
    const at = this.#stack.findLastIndex((open) => open.name === name);
    if (at <= 0) {
      this.#findings.add('stray end tags', { line }, `</${name.slice(0, 40)}> closes nothing`);
      return;
    }
    if (at < this.#stack.length - 1) {
      this.#findings.add(
        'unclosed elements',
        { line },
        `<${this.#stack.at(-1)?.name ?? ''}> is not closed before </${name}>`,
      );
    }
    this.#stack.length = at;
  }

  end(line: number): void {
    const open = this.#stack.length > 1 ? this.#stack.at(-1) : undefined;
    if (open !== undefined)
      this.#findings.add('unclosed elements', { line }, `the file ends inside <${open.name}>: it is cut off`);
  }
}

/**
 * The document as one nameless element whose children are the elements at the top. Takes time in proportion to the
 * text.
 */
export function readXml(text: string, findings: Findings): XmlElement {
  const builder = new Builder(findings);
  let at = 0;
  let line = 1;
  // The next line end is remembered: a file of one long line is not searched to its end again at every tag.
  let lineEnd = text.indexOf('\n');
  const lineAt = (to: number): number => {
    for (; lineEnd >= 0 && lineEnd < to; lineEnd = text.indexOf('\n', lineEnd + 1)) line++;
    return line;
  };
  while (at < text.length && !builder.full) {
    const next = text.indexOf('<', at);
    builder.text(unescaped(text.slice(at, next < 0 ? text.length : next)));
    if (next < 0) break;
    const other = skipped(text, next);
    if (other !== null) {
      builder.text(other.data);
      at = other.end;
      continue;
    }
    const end = tagEnd(text, next + 1);
    if (end < 0) {
      findings.add(
        'broken tags',
        { line: lineAt(next) },
        `${shown(text.slice(next, next + 30))} has no ">": the file is cut off there`,
      );
      break;
    }
    const tag = text.slice(next + 1, end);
    if (tag.startsWith('/')) builder.close(tag.slice(1), lineAt(next));
    else if (/^[A-Za-z_]/.test(tag)) builder.open(tag, lineAt(next));
    else findings.add('broken tags', { line: lineAt(next) }, `${shown(`<${tag}>`)} is no tag`);
    at = end + 1;
  }
  if (builder.full)
    findings.add('files too large', { line: lineAt(at) }, `more than ${MOST_ELEMENTS} elements: the rest is not read`);
  builder.end(lineAt(at));
  return builder.root;
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
