// A part of the window that fails does not take the rest with it: what is said of it stands in its place, the word is
// HOLD until it is drawn again, and strip, log and entry line go on.
import { Component, type ComponentChildren } from 'preact';
import type { Store } from '../state/derived/store.ts';
import { Act } from './buttons.tsx';

interface Props {
  readonly store: Store;
  /** "The map", "The panel". */
  readonly name: string;
  readonly class: string;
  readonly children: ComponentChildren;
}

interface State {
  readonly why: string | null;
}

export class Boundary extends Component<Props, State> {
  override state: State = { why: null };

  override componentDidCatch(error: unknown): void {
    const why = error instanceof Error ? error.message : String(error);
    this.setState({ why });
    this.props.store.decision.fault.value = `${this.props.name} failed: ${why}`;
  }

  readonly #again = (): void => {
    this.props.store.decision.fault.value = null;
    this.setState({ why: null });
  };

  override render({ name, children, class: kind }: Props, { why }: State): ComponentChildren {
    if (why === null) return children;
    return (
      <section class={kind} aria-label={name}>
        <p role="alert" class="wrong-words">
          HOLD. {name} failed: {why}. What is logged is safe.
        </p>
        <Act onClick={this.#again}>Draw it again</Act>
      </section>
    );
  }
}
