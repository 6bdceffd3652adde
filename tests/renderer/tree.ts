// What components answer, read as a tree without a page: each is called as it comes. Only for components without hooks; those that are
// left closed are not looked into, nor is the one that keeps an open explanation up to date, which shows nothing.
import type { ComponentChild, ComponentChildren, VNode } from 'preact';
import { Teller } from '../../renderer/parts/Teller.tsx';

type Node = VNode<Record<string, unknown>>;

const isNode = (child: ComponentChildren): child is Node =>
  typeof child === 'object' && child !== null && !Array.isArray(child) && 'type' in child;

function childrenOf(node: Node, closed: readonly unknown[]): readonly ComponentChild[] {
  const { type, props } = node;
  if (closed.includes(type) || Object.is(type, Teller)) return [];
  const inside = typeof type === 'function' ? (type as (props: unknown) => ComponentChildren)(props) : props['children'];
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
