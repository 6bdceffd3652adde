// Which hour, as the window shows it: what was asked, the hours that are worked out so far, and the one that is read.
import { signal, type Signal } from '@preact/signals';
import type { WhenAsked, WhenHour } from '../../../core/advice/when.ts';
import type { Json } from './json.ts';

export interface WhenQuestion {
  readonly asked: WhenAsked;
  /** The plan that it is about, as the window holds it. */
  readonly plan: Json;
}

export interface WhenView {
  /** A new object each time; null: nothing is asked, or it was stopped. */
  readonly question: Signal<WhenQuestion | null>;
  readonly working: Signal<boolean>;
  /** All hours of the question, s since 1970, and those that are worked out, in the same order. */
  readonly hours_s: Signal<readonly number[]>;
  readonly hours: Signal<readonly WhenHour[]>;
  readonly problems: Signal<readonly string[]>;
  /** Why the worker does not answer; null: it does. */
  readonly trouble: Signal<string | null>;
  /** The plan that the hours are about; after an hour is taken, the plan with it. */
  readonly about: Signal<Json | null>;
  /** The day that is read, as it is shown; null: the first. */
  readonly day: Signal<string | null>;
}

export function createWhenView(): WhenView {
  return {
    question: signal<WhenQuestion | null>(null),
    working: signal(false),
    hours_s: signal<readonly number[]>([]),
    hours: signal<readonly WhenHour[]>([]),
    problems: signal<readonly string[]>([]),
    trouble: signal<string | null>(null),
    about: signal<Json | null>(null),
    day: signal<string | null>(null),
  };
}
