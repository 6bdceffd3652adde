// What one line leaves open while it is read: the questions, the reason why it is refused, the notes for its words.
import type { Answers, Question, QuestionAbout, QuestionKey, ReportContext } from './types.ts';

export class Open {
  readonly context: ReportContext;
  readonly answers: Answers;
  readonly questions: Question[] = [];
  readonly notes: string[] = [];
  why: string | null = null;

  constructor(context: ReportContext, answers: Answers) {
    this.context = context;
    this.answers = answers;
  }

  /** Asks once about a thing. Answers null, for the value that is not known yet. */
  ask(about: QuestionAbout, keys: readonly QuestionKey[]): null {
    if (!this.questions.some((one) => one.about === about)) this.questions.push({ about, keys });
    return null;
  }

  /** Refuses the line; the first reason is said. */
  refuse(why: string): null {
    this.why ??= why;
    return null;
  }

  /** One of several names that a word may mean: the answered one, else a question. */
  chosen(names: readonly string[]): string | null {
    const [only] = names;
    if (names.length === 1) return only ?? null;
    const { place } = this.answers;
    if (place !== undefined && names.includes(place)) return place;
    const keys = names.slice(0, 9).map((name, i) => ({ key: String(i + 1), meaning: name, resolves: { place: name } }));
    return this.ask('which place', keys);
  }
}
