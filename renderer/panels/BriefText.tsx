// The brief's lines as text on the desk: sections, the radio brief breath by breath, and what changed for a crew.
import type { JSX } from 'preact';
import type { Change, Marks } from '../../core/brief/changes.ts';
import type { BriefItem, BriefSection, RadioLine } from '../../core/brief/model.ts';
import { wasWords } from '../../core/brief/text.ts';
import type { CrewChanges } from '../../core/work/recoveryWork.ts';

interface SectionsProps {
  readonly sections: readonly BriefSection[];
  readonly marks: Marks | null;
}

export function Sections({ sections, marks }: SectionsProps): JSX.Element {
  return (
    <div class="brief-text">
      {sections.map((section) => (
        <div key={section.key} data-section={section.key}>
          <h3>{section.title}</h3>
          {section.columns === undefined ? (
            <Lines items={section.items} marks={marks} />
          ) : (
            <Rows items={section.items} columns={section.columns} marks={marks} />
          )}
        </div>
      ))}
    </div>
  );
}

interface ItemsProps {
  readonly items: readonly BriefItem[];
  readonly marks: Marks | null;
}

const classOf = (item: BriefItem, marks: Marks | null): string =>
  [item.strong === true ? 'strong' : '', marks?.changes.has(item.key) === true ? 'changed' : ''].join(' ').trim();

function Was({ change }: { readonly change: Change | undefined }): JSX.Element | null {
  if (change === undefined) return null;
  const words = wasWords(change);
  return <span class="was quiet">{words === null ? 'new' : `was ${words}`}</span>;
}

function Lines({ items, marks }: ItemsProps): JSX.Element {
  if (items.every((item) => item.label === '')) {
    return (
      <ul>
        {items.map((item) => (
          <li key={item.key} class={classOf(item, marks)}>
            {item.text}
            <Was change={marks?.changes.get(item.key)} />
          </li>
        ))}
      </ul>
    );
  }
  return (
    <dl>
      {items.map((item) => (
        <div key={item.key} class={classOf(item, marks)}>
          <dt>{item.label}</dt>
          <dd>
            {item.text}
            <Was change={marks?.changes.get(item.key)} />
          </dd>
        </div>
      ))}
    </dl>
  );
}

/** A table of the sheet, a row a paragraph: its columns do not fit beside each other on the desk. */
function Rows({ items, columns, marks }: ItemsProps & { readonly columns: readonly string[] }): JSX.Element {
  return (
    <ul>
      {items.map((item) => (
        <li key={item.key} class={classOf(item, marks)}>
          <strong>{item.label}</strong>
          {(item.cells ?? [item.text]).map((cell, i) => (
            <span key={columns[i + 1] ?? i}>
              {' '}
              <span class="quiet">{columns[i + 1] ?? ''}</span> {cell}
            </span>
          ))}
          <Was change={marks?.changes.get(item.key)} />
        </li>
      ))}
    </ul>
  );
}

/** Large enough to be read aloud from the screen; what is to be read back carries its word. */
export function RadioText({ lines }: { readonly lines: readonly RadioLine[] }): JSX.Element {
  return (
    <ol class="radio" aria-label="Radio brief">
      {lines.map((line, i) => (
        <li key={`${i}/${line.text}`} class={line.readBack ? 'read-back-line' : ''}>
          {line.text}
        </li>
      ))}
    </ol>
  );
}

export function ChangeList({ changes }: { readonly changes: CrewChanges }): JSX.Element {
  const all = [...changes.marks.changes.values()];
  // A crew's page is its own: what changed for the others is not told to it.
  const mine = all.filter(({ key }) => !key.startsWith('crew.') || key.startsWith(`crew.${changes.crew}.`));
  return (
    <div class="brief-text">
      <h3>Lines that changed</h3>
      {mine.length === 0 ? <p class="small">No line changed.</p> : null}
      <ul aria-label={`Changed for ${changes.crew}`}>
        {mine.map((change) => (
          <li key={change.key} class="changed">
            {change.kind === 'gone' ? <s>{labelled(change.was)}</s> : labelled(change.now)}
            <Was change={change.kind === 'gone' ? undefined : change} />
          </li>
        ))}
      </ul>
      <h3>To be read aloud</h3>
      <RadioText lines={changes.radio} />
    </div>
  );
}

const labelled = ({ label, text }: BriefItem): string => (label === '' ? text : `${label}: ${text}`);
