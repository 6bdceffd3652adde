// A file of places into the plan: for each feature what it is, guessed by its attributes and chosen by the person. All
// that is taken is one step of undo.
import { useSignal } from '@preact/signals';
import { useRef } from 'preact/hooks';
import type { JSX } from 'preact';
import { readFeatures, type PlaceFeature } from '../../core/formats/areas/features.ts';
import { fits, guessOf, importedAs, type Guess, type ImportedAs } from '../../core/formats/areas/sort.ts';
import { decodeText } from '../../core/formats/text/text.ts';
import { useStore } from '../context.ts';
import { takeFeatures } from '../state/acting/importing.ts';
import { Dialog } from './Dialog.tsx';
import { Act } from '../parts/buttons.tsx';

interface Row {
  readonly feature: PlaceFeature;
  readonly guess: Guess;
}

interface Group {
  readonly key: string;
  readonly title: string;
  readonly rows: readonly Row[];
}

/** As many single features of a group as are listed for a choice of their own. */
const MOST_LISTED = 100;

export function Import(): JSX.Element {
  const store = useStore();
  const rows = useSignal<readonly Row[]>([]);
  const problems = useSignal<readonly string[]>([]);
  const input = useRef<HTMLInputElement>(null);
  const close = (): void => {
    store.floating.value = null;
  };
  const read = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    const text = decodeText(new Uint8Array(await file.arrayBuffer()));
    const found = readFeatures(file.name, text.value);
    rows.value = found.value.map((feature) => ({ feature, guess: guessOf(feature) }));
    problems.value = [...text.problems, ...found.problems].map((problem) => problem.text);
  };
  const choose = (chosen: readonly Row[], change: Partial<Guess>): void => {
    const set = new Set(chosen);
    rows.value = rows.value.map((row) => (set.has(row) ? { ...row, guess: { ...row.guess, ...change } } : row));
  };
  const taken = rows.value.filter(({ guess }) => guess.as !== 'left out').length;
  return (
    <Dialog title="Take places from a file" close={close} wide>
      <p class="small quiet">GeoJSON, KML, GPX, or a table with a column “position”, or “lat” and “lon”.</p>
      <div class="ways">
        <Act onClick={() => input.current?.click()}>Choose a file</Act>
        <input
          ref={input}
          id="places-file"
          type="file"
          class="said"
          tabIndex={-1}
          aria-label="File of places"
          onChange={(event) => void read(event.currentTarget.files?.[0])}
        />
      </div>
      {problems.value.slice(0, 6).map((text) => (
        <p key={text} class="wrong-words">
          {text}
        </p>
      ))}
      {groupsOf(rows.value).map((group) => (
        <GroupRows key={group.key} group={group} choose={choose} />
      ))}
      {rows.value.length === 0 ? null : (
        <div class="run">
          <Act
            first
            disabled={taken === 0}
            onClick={() => void takeFeatures(store, rows.value).then((done) => (done ? close() : undefined))}
          >
            Take {taken} of {rows.value.length} into the plan
          </Act>
        </div>
      )}
    </Dialog>
  );
}

/** Features that their attributes make the same thing stand together. */
function groupsOf(rows: readonly Row[]): Group[] {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const { shape } = row.feature;
    const title =
      row.guess.because === '' ? `${shape.kind}s without known attributes` : `${row.guess.because} (${shape.kind})`;
    groups.set(title, [...(groups.get(title) ?? []), row]);
  }
  return [...groups].map(([title, list]) => ({ key: title, title, rows: list }));
}

interface GroupProps {
  readonly group: Group;
  readonly choose: (rows: readonly Row[], change: Partial<Guess>) => void;
}

function GroupRows({ group, choose }: GroupProps): JSX.Element {
  const [first] = group.rows;
  if (first === undefined) return <></>;
  const all = group.rows.every((row) => row.guess.as === first.guess.as) ? first.guess.as : null;
  return (
    <details class="part">
      <summary>
        {group.rows.length} × {group.title}
        {' – '}
        <span class="quiet">{all ?? 'several'}</span>
        {first.guess.kind !== '' && all === 'hazard' ? <span class="quiet">, {first.guess.kind}</span> : null}
      </summary>
      <AsChoice
        label={`All ${group.rows.length}`}
        rows={group.rows}
        value={all}
        choose={(as) => choose(group.rows, { as })}
      />
      {group.rows.slice(0, MOST_LISTED).map((row, i) => (
        <AsChoice
          key={`${i}`}
          label={row.feature.name}
          rows={[row]}
          value={row.guess.as}
          choose={(as) => choose([row], { as })}
        />
      ))}
      {group.rows.length > MOST_LISTED ? (
        <p class="small quiet">{group.rows.length - MOST_LISTED} more are chosen together with all.</p>
      ) : null}
    </details>
  );
}

interface ChoiceProps {
  readonly label: string;
  readonly rows: readonly Row[];
  readonly value: ImportedAs | null;
  readonly choose: (as: ImportedAs) => void;
}

function AsChoice({ label, rows, value, choose }: ChoiceProps): JSX.Element {
  const possible = importedAs.filter((as) => rows.every((row) => fits(as, row.feature.shape.kind)));
  return (
    <label class="import-row">
      <span>{label}</span>
      <select
        value={value ?? ''}
        onChange={(event) => {
          const as = possible.find((one) => one === event.currentTarget.value);
          if (as !== undefined) choose(as);
        }}
      >
        {value === null ? <option value="">several</option> : null}
        {possible.map((as) => (
          <option key={as} value={as}>
            {as}
          </option>
        ))}
      </select>
    </label>
  );
}
