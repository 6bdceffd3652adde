// What components answer, read as a tree without a page: each is called as it comes. Only for components without hooks;
// those that are left closed are not looked into, nor is the one that keeps an open explanation up to date, which shows
// nothing; a number is its words, as the store that it reads is the page's.
import type { ComponentChild, ComponentChildren, VNode } from 'preact';
import { Figure } from '../../renderer/panels/Figure.tsx';
import { Teller } from '../../renderer/parts/Teller.tsx';
import type { Provenance } from '../../renderer/state/stored/tellers.ts';

type Node = VNode<Record<string, unknown>>;

const isNode = (child: ComponentChildren): child is Node =>
  typeof child === 'object' && child !== null && !Array.isArray(child) && 'type' in child;

function childrenOf(node: Node, closed: readonly unknown[]): readonly ComponentChild[] {
  const { type, props } = node;
  if (closed.includes(type) || Object.is(type, Teller)) return [];
  const inside =
    typeof type === 'function' && !Object.is(type, Figure)
      ? (type as (props: unknown) => ComponentChildren)(props)
      : props['children'];
  return [inside].flat(9) as readonly ComponentChild[];
}

/** Nodes of a tree in reading order. */
export function* nodesOf(child: ComponentChild, closed: readonly unknown[] = []): Generator<Node> {
  if (!isNode(child)) return;
  yield child;
  for (const one of childrenOf(child, closed)) yield* nodesOf(one, closed);
}

export function textOf(child: ComponentChild, closed: readonly unknown[] = []): string {
  if (typeof child === 'string' || typeof child === 'number') return String(child);
  return isNode(child)
    ? childrenOf(child, closed)
        .map((one) => textOf(one, closed))
        .join('')
    : '';
}

export type Told = { readonly of: string; readonly text: string } & Provenance;

/** Every number of a tree that can be selected: the key it is drawn with, its words, and what it says. */
export const figuresIn = (tree: ComponentChild, closed: readonly unknown[] = []): readonly Told[] =>
  [...nodesOf(tree, closed)]
    .filter(({ type }) => Object.is(type, Figure))
    .map((node) => {
      const { of, why } = node.props as unknown as { of: string; why: () => Provenance };
      return { of, text: textOf(node, closed), ...why() };
    });

/** The same by key. */
export const figuresOf = (tree: ComponentChild, closed: readonly unknown[] = []): ReadonlyMap<string, Told> =>
  new Map(figuresIn(tree, closed).map((told) => [told.of, told]));
