// Plain English: phrases that readers stumbled over are found nowhere again. Comments, sentences, tests and documents
// are read whole, except the change log, whose released entries stay as they were, and this file.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { projectRoot } from '../openData.ts';

/** Each with what to write instead. */
const BANNED: readonly (readonly [found: RegExp, instead: string])[] = [
  [/\b(?:is|are) none\b/i, 'is not one; without one'],
  [/\bhangs? on\b/i, 'depends on'],
  [/\bis no (?:number|level|date|place|text|area|time|list|JSON|road|team)\b/, 'is not a …'],
  [/\bby turns\b/i, 'alternating; x, y, x, y, …'],
  [/\banew\b/i, 'again'],
  [/\bturned up\b/i, 'incremented; appeared'],
  [/\bforgives?\b|\bforgiving\b/i, 'good for … s'],
  [/\bas on disk\b/i, 'saved'],
  [/['·] ?own clock/, 'exercise clock'],
  [/\balike over\b/i, 'layer with one error'],
  [/\ball together\b/i, 'all'],
  [/\bin reach from\b/i, 'reach from'],
  [/\b95 of 100\b/, '95 %'],
  [/['"`>]u\/v['"`<]/, 'east and north'],
];

const texts = ['core', 'renderer', 'main', 'tests', 'data', 'README.md', 'DEVELOPERS.md'].flatMap((place) =>
  (place.endsWith('.md') ? [place] : readdirSync(join(projectRoot, place), { recursive: true, encoding: 'utf8' }).map((name) => `${place}/${name}`)) // prettier-ignore
    .filter((path) => /\.(?:tsx?|mjs|md|css|html|mission\.json)$/.test(path) && !path.endsWith('plainEnglish.test.ts'))
    .map((path) => ({ path, text: readFileSync(join(projectRoot, path), 'utf8') })),
);

const found = ({ path, text }: { readonly path: string; readonly text: string }): string[] =>
  text
    .split('\n')
    .flatMap((line, i) =>
      BANNED.flatMap(([pattern, instead]) =>
        pattern.test(line) ? [`${path}:${i + 1}: ${pattern.exec(line)?.[0] ?? ''} (${instead})`] : [],
      ),
    );

describe('plain English', () => {
  it('has none of the phrases that readers stumbled over', () => {
    expect(texts.length).toBeGreaterThan(700);
    expect(texts.flatMap(found)).toEqual([]);
  });

  it('is checked by a rule that finds them', () => {
    const text = 'null where it is none\nwhat hangs on the wind\nx and y by turns\n95 of 100';
    expect(found({ path: 'x.ts', text })).toHaveLength(4);
  });
});
