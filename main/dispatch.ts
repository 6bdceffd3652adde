// How a call from a window becomes a call of a handler, the same way in both hosts: the name, then the guard, then the
// handler. What goes wrong on the way is answered with a sentence; a stack never leaves this process.
import { callNames, isCallName, type CallName, type Handlers } from './contract.ts';
import { guards } from './guards.ts';

export type Reply =
  { readonly kind: 'answer'; readonly value: unknown } | { readonly kind: 'failed'; readonly why: string };

export type Dispatch = (name: unknown, args: unknown) => Promise<Reply>;

/** Receives unexpected errors with their stack, for the host's standard error. */
export type Report = (line: string, error: unknown) => void;

/** What a person may see of refused arguments: where, and what was expected; not the values. */
function whyRefused(issues: readonly { readonly path: readonly PropertyKey[]; readonly message: string }[]): string {
  const first = issues[0];
  if (first === undefined) return 'the arguments are not those of the call';
  const where =
    first.path.length === 0
      ? 'the arguments'
      : `argument ${first.path.map((step) => (typeof step === 'number' ? step + 1 : String(step))).join('.')}`;
  return `${where}: ${first.message}`;
}

/** A failure in the form that the call answers with: an Outcome where it has one. */
function failure(name: CallName, why: string): Reply {
  return callNames[name] === 'outcome' ? { kind: 'answer', value: { ok: false, why } } : { kind: 'failed', why };
}

async function callOne(name: CallName, args: unknown, handlers: Handlers): Promise<Reply> {
  const checked = guards[name].safeParse(args);
  if (!checked.success) return failure(name, `The call ${name} was refused: ${whyRefused(checked.error.issues)}.`);
  // Guard and handler were taken by the same name, so what the one let through is what the other takes.
  const handler = handlers[name] as (...given: readonly unknown[]) => Promise<unknown>;
  return { kind: 'answer', value: await handler(...checked.data) };
}

export function createDispatch(handlers: Handlers, report: Report): Dispatch {
  return async (name, args) => {
    if (!isCallName(name)) return { kind: 'failed', why: 'There is no such call.' };
    try {
      return await callOne(name, args, handlers);
    } catch (error) {
      report(`a fault of the desk in ${name}`, error);
      return failure(
        name,
        `The desk failed at ${name}; nothing more is known here. The terminal that started Plumbline says what it was.`,
      );
    }
  };
}
