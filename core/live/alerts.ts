// The alerts that stand at a moment, the gravest first: each begins once, and what a person silenced stays silenced
// until it has ended. What the rules look at stands in `alertRules.ts`.
import { timeOf } from '../log/fate.ts';
import type { MissionState } from '../log/fold.ts';
import { RULES, type AlertKind, type AlertView, type Finding } from './alertRules.ts';

export interface Alert {
  readonly kind: AlertKind;
  /** What of several it is about: a crew, a limit, a report; empty where there is one only. */
  readonly of: string;
  /** `stop`: seconds count. */
  readonly grave: 'stop' | 'caution';
  /** When it began, or was first seen, s since 1970. */
  readonly since_s: number;
  /** When it had not begun yet, s since 1970; null: nobody looked before it was seen. */
  readonly notBefore_s: number | null;
  /** What changed. */
  readonly text: string;
  readonly todo: string;
}

export interface AlertStep {
  readonly standing: readonly Alert[];
  /** Those that begin now: each is said once. */
  readonly begun: readonly Alert[];
}

/** Apart for every pair of kind and thing. */
export const alertKey = ({ kind, of }: Pick<Alert, 'kind' | 'of'>): string => JSON.stringify([kind, of]);

export class Alerts {
  #standing = new Map<string, Alert>();
  /** When each rule was last looked at and knew, s since 1970. */
  readonly #known = new Map<AlertKind, number>();

  /** `view`: not before the one of the last call. */
  at(view: AlertView): AlertStep {
    const standing = new Map<string, Alert>();
    const begun: Alert[] = [];
    for (const rule of RULES) {
      const { kind, grave, todo } = rule;
      const before = [...this.#standing].filter(([, one]) => one.kind === kind);
      const found = rule.find(view, (of) => this.#standing.has(alertKey({ kind, of })));
      if (found === null) for (const [key, one] of before) standing.set(key, one);
      for (const finding of found ?? []) {
        const key = alertKey({ kind, of: finding.of });
        const stood = this.#standing.get(key);
        if ('unknown' in finding) {
          if (stood !== undefined) standing.set(key, stood);
          continue;
        }
        const goesOn = stood !== undefined && !this.#beganAgain(kind, finding, stood);
        const alert = {
          kind,
          of: finding.of,
          grave,
          todo,
          text: finding.text,
          ...this.#beginning(kind, finding, view),
        };
        if (!goesOn) begun.push(alert);
        standing.set(key, goesOn ? { ...alert, since_s: stood.since_s, notBefore_s: stood.notBefore_s } : alert);
      }
      if (found !== null) this.#known.set(kind, view.at_s);
    }
    this.#standing = standing;
    return { standing: [...standing.values()], begun };
  }

  #beginning(kind: AlertKind, { since_s }: Extract<Finding, { text: string }>, { at_s }: AlertView) {
    return { since_s: since_s ?? at_s, notBefore_s: since_s ?? this.#known.get(kind) ?? null };
  }

  /** Ended and begun again between two looks: it began after the one before. */
  #beganAgain(kind: AlertKind, { since_s }: Extract<Finding, { text: string }>, stood: Alert): boolean {
    return since_s !== null && since_s > stood.since_s && since_s > (this.#known.get(kind) ?? Infinity);
  }
}

export type Silence = MissionState['silences'][number];

/** What was silenced longer ago was silenced in another attempt, s. Ours: half a day, as of the lists. */
const SILENCED_FOR_S = 43_200;
/** The log's times are whole seconds. */
const SECOND_S = 1;

/** The newest silence of an alert that was given since it began; null: it is not silenced. */
export function silenceOf(alert: Alert, silences: readonly Silence[], at_s: number): Silence | null {
  const from_s = Math.max(alert.notBefore_s ?? -Infinity, at_s - SILENCED_FOR_S) - SECOND_S;
  return (
    silences.findLast(
      (one) => one.alert === alert.kind && (one.about ?? '') === alert.of && timeOf(one.at) >= from_s,
    ) ?? null
  );
}
