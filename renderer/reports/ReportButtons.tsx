// What may be done to one report: confirm, correct, withdraw; nothing while the past is looked at.
import type { JSX } from 'preact';
import { isConfirmable } from '../../core/winds/meanings.ts';
import { beginCorrection, beginWithdrawal, confirm } from '../state/acting/reportActions.ts';
import type { ReportRow } from '../state/derived/reports.ts';
import type { Store } from '../state/derived/store.ts';
import { Act } from '../parts/buttons.tsx';

export const NOT_IN_THE_PAST =
  'The past is looked at. Back at now (Alt+N) a report can be confirmed, corrected or withdrawn.';

export function ReportButtons({ store, row }: { readonly store: Store; readonly row: ReportRow }): JSX.Element {
  if (store.past.value) return <p class="small quiet">{NOT_IN_THE_PAST}</p>;
  return (
    <p class="report-buttons">
      {row.held !== null && isConfirmable(row.held.kind) ? (
        <Act onClick={() => void confirm(store, row.id)}>
          Confirm <kbd>C</kbd>
        </Act>
      ) : null}
      <Act onClick={() => beginCorrection(store, row)}>
        Correct <kbd>E</kbd>
      </Act>
      {row.standing === 'withdrawn' ? null : (
        <Act onClick={() => beginWithdrawal(store, row)}>
          Withdraw <kbd>W</kbd>
        </Act>
      )}
    </p>
  );
}
