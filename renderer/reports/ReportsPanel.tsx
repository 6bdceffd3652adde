// The winds as they come: the reports and what became of each, what moved the landing, what to observe next, the
// feeds that bring reports by themselves, and the winds that follow, by height.
import type { JSX } from 'preact';
import { never } from '../../core/base/problem.ts';
import { useStore } from '../context.ts';
import { reportParts, type ReportPart } from '../state/stored/reportsView.ts';
import { Feeds } from './Feeds.tsx';
import { Moves } from './Moves.tsx';
import { Observe } from './Observe.tsx';
import { ReportList } from './ReportList.tsx';
import { SurfaceAge } from './SurfaceAge.tsx';
import { Word } from '../parts/buttons.tsx';
import { WindTable } from '../winds/WindTable.tsx';

const names: { readonly [P in ReportPart]: string } = {
  list: 'Reports',
  moved: 'What moved',
  observe: 'Observe next',
  feeds: 'Feeds',
  table: 'Table',
};

export function ReportsPanel(): JSX.Element {
  const store = useStore();
  const { part } = store.reports;
  if (store.situation.value === null) return <p class="quiet">Open a mission to see its winds.</p>;
  return (
    <div class="reports">
      <div class="segments" role="group" aria-label="Part of the reports">
        {reportParts.map((name) => (
          <Word key={name} aria-pressed={part.value === name} onClick={() => (part.value = name)}>
            {names[name]}
          </Word>
        ))}
      </div>
      <SurfaceAge />
      <Part part={part.value} />
    </div>
  );
}

function Part({ part }: { readonly part: ReportPart }): JSX.Element {
  switch (part) {
    case 'list':
      return <ReportList />;
    case 'moved':
      return <Moves />;
    case 'observe':
      return <Observe />;
    case 'feeds':
      return <Feeds />;
    case 'table':
      return <WindTable />;
    default:
      return never(part);
  }
}
