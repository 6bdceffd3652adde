// A page of xmldom's, for what a component does once it is drawn: hooks, effects, events. As much of a browser as
// Preact asks for; what depends on the layout or on the focus belongs in a real page (tests/browser).
import { DOMImplementation, type Element } from '@xmldom/xmldom';
import { options, render, type ComponentChild } from 'preact';

type Handler = (this: unknown, event: object) => void;

export interface Page {
  readonly show: (child: ComponentChild) => void;
  /** Text of the page, or of the elements with an attribute of this value. */
  readonly text: (attribute?: string, value?: string) => string;
  readonly click: (attribute: string, value: string) => Promise<void>;
  /** Once what was changed is drawn. */
  readonly drawn: () => Promise<void>;
}

export function page(): Page {
  const document = new DOMImplementation().createDocument('http://www.w3.org/1999/xhtml', 'body', null);
  const body = document.documentElement;
  if (body === null) throw new Error('a document has its element');
  const handlers = new WeakMap<object, Map<string, Handler>>();
  const element = Object.getPrototypeOf(body) as object;
  Object.defineProperties(element, {
    addEventListener: {
      configurable: true,
      value(this: object, name: string, handler: Handler) {
        handlers.set(this, (handlers.get(this) ?? new Map<string, Handler>()).set(name, handler));
      },
    },
    onclick: { configurable: true, value: null },
    scrollIntoView: { configurable: true, value: () => undefined },
    style: { configurable: true, get: () => ({ setProperty: () => undefined }) },
  });
  const textNode = Object.getPrototypeOf(document.createTextNode('')) as object;
  // Preact writes the one, `textContent` reads the other.
  Object.defineProperty(textNode, 'nodeValue', {
    configurable: true,
    get(this: { data: string }) {
      return this.data;
    },
    set() {
      // What is read is `data` alone.
    },
  });
  Object.assign(globalThis, { document });
  // What is drawn and its effects come as microtasks: all of them are done before the next timer.
  Object.assign(options, { debounceRendering: queueMicrotask, requestAnimationFrame: queueMicrotask });
  const drawn = (): Promise<void> => new Promise((done) => setTimeout(done));
  const found = (attribute: string, value: string): Element[] =>
    Array.from(body.getElementsByTagName('*')).filter((one) => one.getAttribute(attribute) === value);
  return {
    show: (child) => render(child, body as unknown as Parameters<typeof render>[1]),
    text: (attribute, value) =>
      attribute === undefined
        ? (body.textContent ?? '')
        : found(attribute, value ?? '')
            .map((one) => one.textContent ?? '')
            .join('|'),
    async click(attribute, value) {
      const [one] = found(attribute, value);
      const handler = one === undefined ? undefined : handlers.get(one)?.get('click');
      if (handler === undefined) throw new Error(`nothing to press with ${attribute} ${value}`);
      handler.call(one, { type: 'click' });
      await drawn();
    },
    drawn,
  };
}
