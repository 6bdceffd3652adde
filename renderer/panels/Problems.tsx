// What is wrong now, everything that was found wrong in the mission and its files, and everything that the prediction
// had to assume: a sentence each, with the place where it stands.
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { wrongNow } from '../state/derived/asked.ts';

export function ProblemsPanel(): JSX.Element {
  const store = useStore();
  const problems = store.problems.value;
  const wrong = wrongNow(store.verdict.value, store.decision.logTroubles.value);
  const warnings = store.prediction.value?.warnings ?? [];
  if (wrong.length === 0 && problems.length === 0 && warnings.length === 0) {
    return (
      <p class="quiet">Nothing wrong was found in the plan, its log and its files, and nothing had to be assumed.</p>
    );
  }
  return (
    <>
      {wrong.length === 0 ? null : (
        <section aria-labelledby="wrong-now">
          <h2 id="wrong-now">Wrong now</h2>
          <ul class="problems">
            {wrong.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </section>
      )}
      {warnings.length === 0 ? null : (
        <section aria-labelledby="assumed">
          <h2 id="assumed">Assumed in this prediction</h2>
          <ul class="problems">
            {warnings.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </section>
      )}
      {problems.length === 0 ? null : (
        <section aria-labelledby="found">
          <h2 id="found">Found in the files</h2>
          <ul class="problems">
            {problems.map((problem, i) => (
              <li key={`${problem.file}/${problem.line}/${i}`}>
                <div class="small quiet">
                  {problem.file}
                  {problem.line > 0 ? `, line ${problem.line}` : ''}
                </div>
                {problem.text}
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}
