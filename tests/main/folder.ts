// A folder of one test: a mission with the files it names, a demo folder beside it, a place for copies. Gone at the
// end.
import { mkdirSync, mkdtempSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';

export interface TestFolder {
  /** Real path, so that answers can be compared as they are. */
  readonly root: string;
  readonly mission: string;
  readonly log: string;
  readonly demos: string;
  readonly demo: string;
  readonly copies: string;
  readonly write: (name: string, content: string | Uint8Array) => string;
  readonly remove: () => void;
}

/** A plan whose keys are those of FORMAT.md, with one that no version knows. */
export const PLAN = {
  format: 'plumbline/mission',
  version: 1,
  name: 'Test plain',
  notes: 'Two lines\nof notes',
  site: { name: 'Test plain', position: [22.4, -30.1], elevation_m: 900, terrain: 'terrain.tif' },
  winds: { files: ['winds/0000Z.txt', 'winds/missing.txt'] },
  roads: 'roads.geojson',
  somethingNew: { kept: true },
};

export const NOTE = { kind: 'note', text: 'canopies checked', by: 'winds desk' } as const;

export function testFolder(): TestFolder {
  const root = realpathSync(mkdtempSync(join(tmpdir(), 'plumbline-test-')));
  const write = (name: string, content: string | Uint8Array): string => {
    const path = join(root, name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, content);
    return path;
  };
  for (const place of ['own', 'demos/plain']) {
    write(`${place}/terrain.tif`, new Uint8Array([0x49, 0x49, 0x2a, 0x00, 0xff]));
    write(`${place}/winds/0000Z.txt`, '850 1500 10.0 090 12\n');
    write(`${place}/roads.geojson`, '{"type":"FeatureCollection","features":[]}');
  }
  const text = `${JSON.stringify(PLAN, null, 2)}\n`;
  return {
    root,
    mission: write('own/test.mission.json', text),
    log: join(root, 'own', 'test.log.jsonl'),
    demos: join(root, 'demos'),
    demo: write('demos/plain/plain.mission.json', text),
    copies: join(root, 'copies'),
    write,
    remove: () => rmSync(root, { recursive: true, force: true, maxRetries: 5 }),
  };
}
