// SVG as text: numbers to a hundredth of a millimetre, text escaped, nothing that could run.
import { xmlText } from '../../formats/out/xmlText.ts';
import { assert } from '../../base/problem.ts';
import type { Mm } from './frame.ts';

type Attributes = Readonly<Record<string, string | number | undefined>>;

export function mm(x: number): string {
  assert(Number.isFinite(x), 'what is drawn has a place');
  return String(Number(x.toFixed(2)));
}

export function tag(name: string, attributes: Attributes, content: string | null = null): string {
  const written = Object.entries(attributes)
    .filter((pair) => pair[1] !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? mm(value) : xmlText(value ?? '')}"`)
    .join('');
  return content === null ? `<${name}${written}/>` : `<${name}${written}>${content}</${name}>`;
}

export const svgPath = (points: readonly Mm[], closed = false): string =>
  points.length === 0 ? '' : `M${points.map(([x, y]) => `${mm(x)} ${mm(y)}`).join('L')}${closed ? 'Z' : ''}`;

export const text = (x: number, y: number, size_mm: number, words: string, attributes: Attributes = {}): string =>
  tag('text', { x, y, 'font-size': size_mm, ...attributes }, xmlText(words));
