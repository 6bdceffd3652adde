// If contact is lost: logged with one key, and then the search stands on the map with its pattern, who flies it and how
// long it takes.
import { chanceWords } from '../../core/words/numbers.ts';
import type { JSX } from 'preact';
import type { SearchPattern, SearchPlan } from '../../core/recovery/search.ts';
import { contactLost } from '../state/derived/contact.ts';
import { logContact } from '../state/acting/recoveryActions.ts';
import { timeWords } from '../state/derived/recoveryScene.ts';
import { searchKey, searchWhy, type SearchColumn } from '../state/explaining/searchWhy.ts';
import type { Store } from '../state/derived/store.ts';
import { distance } from '../../core/words/lengths.ts';
import { duration } from '../../core/words/times.ts';
import { Figure } from './Figure.tsx';
import { Act } from '../parts/buttons.tsx';
import { Heads } from '../parts/rows.tsx';

export function Lost({ store }: { readonly store: Store }): JSX.Element {
  const lost_s = contactLost(store.log.value, store.shown_s.value);
  const search = store.recovery.answer.value?.search ?? null;
  return (
    <section aria-labelledby="lost">
      <div class="run">
        <h2 id="lost">{lost_s === null ? 'If contact is lost' : `Contact lost since ${timeWords(store, lost_s)}`}</h2>
        <div class="layers">
          <Act onClick={() => void logContact(store, lost_s === null)}>
            {lost_s === null ? 'Log: contact lost' : 'Log: contact again'}
          </Act>
        </div>
      </div>
      {search === null ? null : <Search store={store} search={search} />}
    </section>
  );
}

export function Search({ store, search }: { readonly store: Store; readonly search: SearchPlan }): JSX.Element {
  const units = store.units.value;
  const told = (one: SearchPattern, column: SearchColumn, words: string): JSX.Element => (
    <Figure of={searchKey(one, column)} why={() => searchWhy({ search, one, units }, column)}>
      {words}
      <span class="said"> of the {one.pattern.name}</span>
    </Figure>
  );
  return (
    <>
      <ul class="small">
        {search.sentences.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
      <table>
        <Heads names={['pattern', 'spacing', 'time', 'finds']} />
        <tbody>
          {search.patterns.map((one) => (
            <tr key={one.pattern.name}>
              <th scope="row">
                {one.pattern.name}
                {one.pattern.name === search.recommended ? ' (advised)' : ''}
              </th>
              <td>{told(one, 'spacing', distance(one.spacing_m, units))}</td>
              <td>{told(one, 'time', duration(one.time_s))}</td>
              <td>{told(one, 'finds', chanceWords(one.detection * one.contains))}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
