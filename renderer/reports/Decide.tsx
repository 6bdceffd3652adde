// What has to be decided about the reports: those held back, one at a time with what they look like, and pairs that
// contradict each other, side by side.
import { useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { reportHeight, reportWind, whoWords, type ReportRow, type ReportTable } from '../state/derived/reports.ts';
import { answersTo } from '../../core/winds/answers.ts';
import type { WindQuestion, WindsNow } from '../../core/winds/now.ts';
import { capital } from '../../core/words/numbers.ts';
import { answerAll, beginWithdrawal } from '../state/acting/reportActions.ts';
import type { Store } from '../state/derived/store.ts';
import { age } from '../../core/words/times.ts';
import { WindArrow } from '../entry/WindArrow.tsx';
import { NOT_IN_THE_PAST, ReportButtons } from './ReportButtons.tsx';
import { ReportIcon } from './ReportMark.tsx';
import { Act, Word } from '../parts/buttons.tsx';

interface TableProps {
  readonly table: ReportTable;
}

/** The newest report that is held back. The others follow as each is decided; all stand in the list. */
export function Decide({ table }: TableProps): JSX.Element | null {
  const store = useStore();
  if (table.counts.held === 0) return null;
  const row = table.rows.find((one) => one.standing === 'held');
  // The one that is looked at below stands there with its buttons already.
  if (row === undefined || store.reports.chosen.value === row.seq) return null;
  const winds = store.situation.value?.winds;
  const question = winds?.questions.find(({ ids }) => ids.length > 1 && ids.includes(row.id));
  if (winds !== undefined && question !== undefined) return <Whole store={store} winds={winds} question={question} />;
  const more = table.counts.held - 1;
  return (
    <section class="decide" aria-label="Held back">
      <h2>
        <ReportIcon standing="held" faded={false} /> {row.id} is held back{more === 0 ? '' : `, and ${more} more`}
      </h2>
      <p class="small">{row.sentence}</p>
      <ReportButtons store={store} row={row} />
    </section>
  );
}

interface WholeProps {
  readonly store: Store;
  readonly winds: WindsNow;
  readonly question: WindQuestion;
}

/** All reports of one observer or ascent, asked about once. */
function Whole({ store, winds, question }: WholeProps): JSX.Element {
  const others = winds.questions.length - 1;
  return (
    <section class="decide" aria-label="Held back">
      <h2>
        <ReportIcon standing="held" faded={false} /> {question.ids.length} reports are held back
        {others === 0 ? '' : `, and ${others} more ${others === 1 ? 'question' : 'questions'}`}
      </h2>
      <p class="small">{question.sentence}</p>
      {store.past.value ? (
        <p class="small quiet">{NOT_IN_THE_PAST}</p>
      ) : (
        <p class="report-buttons">
          {answersTo(question, winds.held).map(({ key, means }) => (
            <Act key={key} onClick={() => void answerAll(store, question, key)}>
              {capital(means)} all <kbd>{key}</kbd>
            </Act>
          ))}
        </p>
      )}
    </section>
  );
}

export function Contradictions({ table }: TableProps): JSX.Element | null {
  const store = useStore();
  const [at, setAt] = useState(0);
  const pairs = store.situation.value?.winds.contradictions ?? [];
  const pair = pairs[Math.min(at, pairs.length - 1)];
  if (pair === undefined) return null;
  const rows = pair.reports.map((report) => table.bySeq.get(report.seq));
  return (
    <section class="decide" aria-label="Reports that contradict each other" title={pair.sentence}>
      <h2>
        At most one of these is right
        {pairs.length === 1 ? '' : ` (pair ${Math.min(at, pairs.length - 1) + 1} of ${pairs.length})`}
      </h2>
      <div class="pair small">
        {rows.map((row) => (row === undefined ? null : <Side key={row.seq} store={store} row={row} />))}
      </div>
      {pairs.length === 1 ? null : (
        <Word small onClick={() => setAt((at + 1) % pairs.length)}>
          Next pair
        </Word>
      )}
    </section>
  );
}

function Side({ store, row }: { readonly store: Store; readonly row: ReportRow }): JSX.Element {
  const units = store.units.value;
  const { event } = row.report;
  return (
    <div class="side">
      <div class="side-head">
        {event.speed_mps >= 0.05 && event.variable !== true ? <WindArrow from_deg={event.from_deg} size={28} /> : null}
        <div>
          <div>
            {row.id} <span class="quiet">· {age(store.shown_s.value - row.report.observed_s)}</span>
          </div>
          <div class="quiet side-who">{whoWords(row.report)}</div>
        </div>
      </div>
      <div>{reportWind(row.report, units)}</div>
      <div class="quiet side-height">{reportHeight(row.report, units)}</div>
      <span>
        <Word small onClick={() => (store.reports.chosen.value = row.seq)} aria-label={`Look at ${row.id}`}>
          Look
        </Word>
        <Word small onClick={() => beginWithdrawal(store, row)} aria-label={`Withdraw ${row.id}`}>
          Withdraw
        </Word>
      </span>
    </div>
  );
}
