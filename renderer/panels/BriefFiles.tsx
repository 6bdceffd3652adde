// The brief as files: pages on paper, places for other programs and receivers, tables.
import type { JSX } from 'preact';
import type { Brief } from '../../core/brief/model.ts';
import type { BriefFile } from '../../core/work/recoveryWork.ts';
import { faceAsData } from '../state/acting/briefFace.ts';
import { writeFile } from '../state/acting/recoveryActions.ts';
import type { Store } from '../state/derived/store.ts';
import { Act, Word } from '../parts/buttons.tsx';

interface Props {
  readonly store: Store;
  readonly brief: Brief;
  /** The worker has this very brief and nothing else to do. */
  readonly ready: boolean;
}

const exports: readonly { readonly name: string; readonly ending: string; readonly wanted: BriefFile }[] = [
  { name: 'GPX', ending: '.gpx', wanted: { kind: 'places', format: 'gpx' } },
  { name: 'KML', ending: '.kml', wanted: { kind: 'places', format: 'kml' } },
  { name: 'GeoJSON', ending: '.geojson', wanted: { kind: 'places', format: 'geojson' } },
  { name: 'Text', ending: '.txt', wanted: { kind: 'text' } },
  { name: 'CSV, cases', ending: '-cases.csv', wanted: { kind: 'table', table: 'cases' } },
  { name: 'CSV, landings', ending: '-landings.csv', wanted: { kind: 'table', table: 'members' } },
  { name: 'CSV, winds', ending: '-winds.csv', wanted: { kind: 'table', table: 'levels' } },
];

export function BriefFiles({ store, brief, ready }: Props): JSX.Element {
  const part = store.recovery.part.value;
  const crew = part.kind === 'crew' ? part.crew : null;
  const stem = `brief-v${brief.head.version.number}`;
  const paper = crew === null ? stem : `${stem}-${crew.toLowerCase().replaceAll(/[^a-z0-9]+/g, '-')}`;
  const pdf = store.about.value?.pdf !== false;
  const page = async (name: string, printed: boolean): Promise<void> =>
    writeFile(store, { kind: 'page', crew, fontCss: await faceAsData() }, name, printed);
  return (
    <section aria-labelledby="brief-files">
      <h2 id="brief-files">
        {crew === null ? 'On paper and as files' : `On paper: the page of ${crew}; as files: the whole`}
      </h2>
      <div class="file-row" role="group" aria-label="On paper">
        <Act disabled={!ready} onClick={() => (store.floating.value = 'pages')}>
          Pages and print <kbd>Ctrl+P</kbd>
        </Act>
        <Act disabled={!ready || !pdf} onClick={() => void page(`${paper}.pdf`, true)}>
          PDF
        </Act>
        <Act disabled={!ready} onClick={() => void page(`${paper}.html`, false)}>
          HTML
        </Act>
      </div>
      {pdf ? null : (
        <p class="small quiet">
          A PDF needs Electron or an installed Chromium, and neither was found: take HTML and print that.
        </p>
      )}
      <div class="file-row" role="group" aria-label="As files">
        {exports.map(({ name, ending, wanted }) => (
          <Word key={name} small disabled={!ready} onClick={() => void writeFile(store, wanted, `${stem}${ending}`)}>
            {name}
          </Word>
        ))}
      </div>
    </section>
  );
}
