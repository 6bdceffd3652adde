// The log: what FORMAT.md says of it, and what a crash, a second writer or a hand with an editor can do to it.
import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { fc } from '../property.ts';
import { plainText } from '../../core/base/plainText.ts';
import { linkOf, logLine } from '../../core/log/chain.ts';
import { readLog } from '../../core/log/read.ts';
import { logEvent, type LogEvent } from '../../core/log/events.ts';

const note = (seq: number, text = 'x', at = `2026-03-14T06:${String(seq % 60).padStart(2, '0')}:00Z`): LogEvent => ({
  seq,
  at,
  kind: 'note',
  text,
});

/** A line of version 1. */
const v1 = (event: LogEvent): string => `${JSON.stringify(event)}\n`;

/** A log of version 2: each line tied to the one before. */
function chained(events: readonly LogEvent[]): string[] {
  const lines: string[] = [];
  for (const event of events) lines.push(logLine(event, lines.length === 0 ? '' : linkOf(lines.at(-1) ?? '')));
  return lines;
}

describe('the log', () => {
  it('reads the line that FORMAT.md prints', () => {
    const line =
      '{ "seq": 12, "at": "2026-03-14T06:00:00Z", "kind": "wind-report", "id": "w7", "source": "crew", "by": "Team 2", "observedAt": "2026-03-14T05:58:00Z", ' +
      '"position": [141.5, -31.9], "agl_m": 2, "from_deg": 90, "speed_mps": 3.6, "gust_mps": 5.1, "text": "as it was typed or received" }';
    const { value, problems } = readLog(line);
    expect(problems).toEqual([]);
    expect(value).toHaveLength(1);
    expect(value[0]).toMatchObject({ seq: 12, kind: 'wind-report', by: 'Team 2', from_deg: 90, gust_mps: 5.1 });
  });

  it('gives back what was written, whatever the text holds', () => {
    const text = fc.string({ unit: 'binary', maxLength: 40 });
    fc.assert(
      fc.property(fc.array(text, { maxLength: 20 }), (texts) => {
        // What cannot be seen in a text is shown as a replacement character, in the file as in the window.
        const events = texts.map((one, i) => note(i, plainText(one)));
        const { value, problems } = readLog(`${chained(events).join('\n')}\n`);
        expect(problems).toEqual([]);
        expect(value).toEqual(events);
      }),
    );
  });

  it('writes one line, seq, at and kind first, unknown keys kept, the link at its end', () => {
    const event = logEvent.parse({ kind: 'note', text: 'a\nb', mood: 'calm', at: '2026-03-14T06:00:00Z', seq: 3 });
    expect(logLine(event, '')).toMatch(
      /^\{"seq":3,"at":"2026-03-14T06:00:00Z","kind":"note","text":"a\\nb","mood":"calm","v":2,"chain":"[0-9a-f]{16}"\}$/,
    );
  });

  it.each([
    ['nothing', '', null],
    ['a line of another kind', '{"seq":5,"at":"2026-03-14T06:05:00Z","kind":"tea"}\n', { first: 5, last: 5 }],
    ['a damaged line', '{"seq":5,"at:"2026-03-14T06:05:00Z","kind":"note","text":"x"}\n', { first: 5, last: 5 }],
    ['two of them', '{"seq":5,"kind":"tea"}\n{"seq":6,"kind":"tea"}\n', { first: 5, last: 6 }],
    ['one with a number that is too low', '{"seq":3,"kind":"tea"}\n', null],
    ['a torn line: nobody was told of it', '{"seq":5,"at":"2026-0', null],
    [
      'a torn line before one that cannot be read',
      '{"seq":5,"at":"2026-0\n{"seq":5,"kind":"tea"}\n',
      { first: 5, last: 5 },
    ],
    ['a line without a number', '# by hand\n', null],
    ['an event behind it: then it is a gap', `{"seq":5,"kind":"tea"}\n${v1(note(6))}`, null],
  ])('says what of its end cannot be read: %s', (_, end, unread) => {
    expect(readLog([1, 2, 3, 4].map((seq) => v1(note(seq))).join('') + end).unread).toEqual(unread);
  });

  it('of which no line can be read says so, too', () => {
    expect(readLog('{"seq":7,"kind":"tea"}\n{"seq":8,"kind":"tea"}\n').unread).toEqual({ first: 7, last: 8 });
    expect(readLog('').unread).toBeNull();
  });

  const whole = [1, 2, 3, 4].map((seq) => v1(note(seq)));
  const cases: readonly [
    name: string,
    text: string,
    seqs: readonly number[],
    problem: { line: number; text: RegExp } | null,
  ][] = [
    ['nothing', '', [], null],
    ['empty lines, CRLF and a byte order mark', `\uFEFF${whole.join('\r\n')}\r\n\n`, [1, 2, 3, 4], null],
    [
      'a last line torn by a crash',
      whole.join('') + '{"seq":5,"at":"2026-0',
      [1, 2, 3, 4],
      { line: 5, text: /last line is torn/ },
    ],
    [
      'a line torn in the middle',
      [whole[0], '{"seq":2,"at":"20', '\n', whole[2]].join(''),
      [1, 3],
      { line: 2, text: /^no JSON: \{"seq":2/ },
    ],
    ['two lines run into one', whole[0]?.trim() + whole.slice(1).join(''), [3, 4], { line: 1, text: /no JSON/ }],
    [
      'a gap',
      [whole[0], whole[1], whole[3]].join(''),
      [1, 2, 4],
      { line: 3, text: /seq 3 is missing; what is here counts/ },
    ],
    ['a wide gap', [whole[0], v1(note(9))].join(''), [1, 9], { line: 2, text: /seq 2 to 8 are missing/ }],
    [
      'a seq twice with other content',
      [...whole, v1(note(2, 'other'))].join(''),
      [1, 2, 3, 4],
      { line: 5, text: /seq 2 occurred before/ },
    ],
    ['a line twice', [...whole, whole[1]].join(''), [1, 2, 3, 4], { line: 5, text: /word for word; it counts once/ }],
    ['lines out of order', [whole[2], whole[0], whole[1]].join(''), [1, 2, 3], null],
    [
      'an unknown kind',
      whole[0] + '{"seq":2,"at":"2026-03-14T06:02:00Z","kind":"tea"}\n' + whole[2],
      [1, 3],
      { line: 2, text: /kind "tea" is not known/ },
    ],
    ['no kind', '{"seq":2,"at":"2026-03-14T06:02:00Z"}\n', [], { line: 1, text: /no "kind"/ }],
    ['a list', '[1,2]\n', [], { line: 1, text: /found \[1,2\]; expected one event/ }],
    [
      'a local time',
      '{"seq":1,"at":"2026-03-14 06:00","kind":"note","text":"x"}\n',
      [],
      { line: 1, text: /at: expected an ISO 8601.*found "2026-03-14 06:00"/ },
    ],
    ['no such day', '{"seq":1,"at":"2026-02-30T06:00:00Z","kind":"note","text":"x"}\n', [], { line: 1, text: /at: / }],
    [
      'a missing key',
      '{"seq":1,"at":"2026-03-14T06:00:00Z","kind":"note"}\n',
      [],
      { line: 1, text: /text: .*it is missing/ },
    ],
    [
      'a speed in words',
      '{"seq":1,"at":"2026-03-14T06:00:00Z","kind":"wind-report","id":"w","source":"crew","observedAt":"2026-03-14T06:00:00Z","from_deg":90,"speed_mps":"ten"}',
      [],
      { line: 1, text: /speed_mps: .*found "ten"/ },
    ],
    [
      'a source of nobody',
      '{"seq":1,"at":"2026-03-14T06:00:00Z","kind":"wind-report","id":"w","source":"oracle","observedAt":"2026-03-14T06:00:00Z","from_deg":90,"speed_mps":1}',
      [],
      { line: 1, text: /source: .*found "oracle"/ },
    ],
    [
      'a negative seq',
      '{"seq":-1,"at":"2026-03-14T06:00:00Z","kind":"note","text":"x"}',
      [],
      { line: 1, text: /seq: .*found -1/ },
    ],
    [
      'a clock that went back',
      v1(note(1, 'x', '2026-03-14T06:10:00Z')) + v1(note(2, 'x', '2026-03-14T06:09:30Z')),
      [1, 2],
      { line: 2, text: /clock went back 30 s/ },
    ],
    ['a picture', '\u0000\u0001PNG\u0002\n', [], { line: 1, text: /no JSON: ��PNG�/ }],
  ];
  it.each(cases)('%s: the rest counts', (_, text, seqs, problem) => {
    const { value, problems } = readLog(text);
    expect(value.map((event) => event.seq)).toEqual(seqs);
    if (problem === null) expect(problems).toEqual([]);
    else {
      expect(problems.map((one) => one.line)).toContain(problem.line);
      expect(problems.find((one) => one.line === problem.line)?.text).toMatch(problem.text);
    }
  });

  it('says of a gap that its line was not readable where that is so', () => {
    const { problems } = readLog(`${whole[0]}{"seq":2,"at":"nonsense","kind":"note","text":"x"}\n${whole[2]}`);
    expect(problems.map((one) => one.text)).toContain('seq 2 is missing: not readable, see above');
  });

  it('does not count an event that would break whoever goes through it: nested without end, or as long as a book', () => {
    const note = '"seq":1,"at":"2026-03-14T06:00:00Z","kind":"note","text":"hello"';
    const deep = readLog(`{${note},"own":${'['.repeat(3000)}${']'.repeat(3000)}}`);
    expect(deep.value).toEqual([]);
    expect(deep.problems[0]?.text).toContain('more than 16 deep');
    const long = readLog(`{${note},"own":"${'x'.repeat(70_000)}"}`);
    expect(long.value).toEqual([]);
    expect(long.problems[0]?.text).toContain('64000 at most');
    expect(readLog(`{${note},"own":[[1,[2]]]}`).value).toHaveLength(1);
  });

  it('reads any bytes without a throw, and a log torn at any place loses at most one event', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 300 }), (text) => void readLog(text)),
      { numRuns: 2000 },
    );
    const deep = `{"seq":1,"at":"2026-03-14T06:00:00Z","kind":"note","text":${'['.repeat(20_000)}${']'.repeat(20_000)}}`;
    expect(readLog(deep).problems).toHaveLength(1);
    const text = whole.join('');
    let cuts = 0;
    for (let cut = 0; cut <= text.length; cut++) {
      const { value } = readLog(text.slice(0, cut));
      const complete = text.slice(0, cut).split('\n').length - 1;
      expect(value.length).toBeGreaterThanOrEqual(complete);
      cuts += 1;
    }
    expect(cuts).toBe(text.length + 1);
  });

  it('counts problems beyond two hundred instead of listing them', () => {
    const { problems } = readLog('nonsense\n'.repeat(1000));
    expect(problems).toHaveLength(201);
    expect(problems[200]?.text).toBe('and 800 more problems of this kind');
  });
});

describe('the chain of a log', () => {
  const events = [1, 2, 3, 4].map((seq) => note(seq, `the wind is ${seq} m/s`));
  const lines = chained(events);
  const problemsOf = (text: string): string[] => readLog(text).problems.map(({ line, text: why }) => `${line}: ${why}`);

  it('is the hash of the line before and of the line: SHA-256, FIPS 180-4, its first 64 bits', () => {
    const sha = (text: string): string => createHash('sha256').update(text).digest('hex').slice(0, 16);
    let before = '';
    for (const line of lines) {
      const [, content = '', chain] = /^(.*),"chain":"(.*)"\}$/.exec(line) ?? [];
      expect(chain).toBe(sha(before + content));
      before = chain ?? '';
    }
  });

  it('shows every changed byte, the last line included', () => {
    const text = `${lines.join('\n')}\n`;
    expect(problemsOf(text)).toEqual([]);
    let unseen = 0;
    for (let i = 0; i < text.length; i++) {
      // A line end that becomes another blank is the same log.
      if (text[i] === '\n' && i === text.length - 1) continue;
      const other = String.fromCharCode(text.charCodeAt(i) ^ 1);
      if (problemsOf(text.slice(0, i) + other + text.slice(i + 1)).length === 0) unseen += 1;
    }
    expect(text.length).toBeGreaterThan(290);
    expect(unseen).toBe(0);
  });

  it('shows a line that was taken out, put in or moved, and reads the rest', () => {
    const [a = '', b = '', c = '', d = ''] = lines;
    const odd = (list: readonly string[]): string[] => problemsOf(`${list.join('\n')}\n`);
    expect(odd([a, c, d])).toEqual([
      '2: this line does not fit the line before it: one of the two was changed, or a line between them is missing; it counts, so check what it says',
      expect.stringMatching(/^2: seq 2 is missing/),
    ]);
    expect(odd([a, c, b, d]).some((why) => why.startsWith('2: this line does not fit'))).toBe(true);
    expect(odd([a, b, JSON.stringify(note(9)), c, d])).toContain(
      '3: this line carries no hash, but the line before it does; it counts, so check what it says',
    );
  });

  it('goes on behind a log of version 1 and behind a line that was torn', () => {
    const old = [note(1), note(2)].map((event) => JSON.stringify(event));
    const torn = '{"seq":3,"at":"2026-0';
    const more = logLine(note(3), linkOf(torn));
    expect(problemsOf(`${[...old, logLine(note(3), linkOf(old[1] ?? ''))].join('\n')}\n`)).toEqual([]);
    expect(problemsOf(`${[...old, torn, more].join('\n')}\n`)).toEqual([expect.stringMatching(/^3: no JSON/)]);
  });
});
