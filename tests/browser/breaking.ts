// A window whose surroundings can be broken: its workers ended or struck dumb, its connection cut, the computer's clock
// set. What the strip said meanwhile is kept, so that a word that stood for a moment is found too.
import type { Page } from 'playwright-core';
import { openTab } from './winds.ts';

declare global {
  interface Window {
    breaking: {
      readonly workers: Worker[];
      readonly sockets: WebSocket[];
      /** These hear nothing more and so never answer. */
      readonly dumb: Set<Worker>;
      /** Every connection is ended, and each new one at once. */
      cut: boolean;
      /** How far the computer's clock was set ahead, ms. */
      ahead_ms: number;
      /** Each word of the strip that was another than the one before, with what stood beside it. */
      readonly said: { readonly word: string; readonly beside: string }[];
      /** What stood under "Wrong now" while Problems was open. */
      readonly wrong: Set<string>;
    };
  }
}

/** Runs in the page before its own scripts: knows nothing from outside itself. */
export function breakable(): void {
  const now = Date.now.bind(Date);
  const [RealWorker, RealSocket] = [Worker, WebSocket];
  const breaking: Window['breaking'] = {
    workers: [],
    sockets: [],
    dumb: new Set(),
    cut: false,
    ahead_ms: 0,
    said: [],
    wrong: new Set(),
  };
  window.breaking = breaking;
  Date.now = () => now() + breaking.ahead_ms;
  window.Worker = class extends RealWorker {
    constructor(...given: ConstructorParameters<typeof Worker>) {
      super(...given);
      breaking.workers.push(this);
      const post = this.postMessage.bind(this) as (...letter: unknown[]) => void;
      this.postMessage = (...letter: unknown[]) => {
        if (!breaking.dumb.has(this)) post(...letter);
      };
    }
  };
  window.WebSocket = class extends RealSocket {
    constructor(...given: ConstructorParameters<typeof WebSocket>) {
      super(...given);
      breaking.sockets.push(this);
      if (breaking.cut) this.close();
    }
  };
  const textOf = (selector: string): string => document.querySelector(selector)?.textContent ?? '';
  new MutationObserver(() => {
    const word = textOf('#advice-word');
    const beside = textOf('#advice-missing') || textOf('#advice-reasons');
    const last = breaking.said.at(-1);
    if (word !== '' && (last?.word !== word || last.beside !== beside)) breaking.said.push({ word, beside });
    breaking.wrong.add(textOf('[aria-labelledby=wrong-now]'));
  }).observe(document, { subtree: true, childList: true, characterData: true });
}

export const endWorkers = (page: Page): Promise<void> =>
  page.evaluate(() => {
    for (const worker of window.breaking.workers) worker.terminate();
  });

/** The workers that there are answer no more; a new one does. */
export const strikeDumb = (page: Page): Promise<void> =>
  page.evaluate(() => {
    for (const worker of window.breaking.workers) window.breaking.dumb.add(worker);
  });

/** `cut`: the connection to the desk is gone and does not come back; false: it can be had again. */
export const cutOff = (page: Page, cut: boolean): Promise<void> =>
  page.evaluate((gone) => {
    window.breaking.cut = gone;
    if (gone) for (const socket of window.breaking.sockets) socket.close();
  }, cut);

export const setClock = (page: Page, ahead_ms: number): Promise<void> =>
  page.evaluate((by) => void (window.breaking.ahead_ms = by), ahead_ms);

/** Whatever draws a table fails from here on; false: it is well again. */
export const breakTables = (page: Page, broken: boolean): Promise<void> =>
  page.evaluate((breaks) => {
    if (!breaks) return void Reflect.deleteProperty(document, 'createElementNS');
    const real = document.createElementNS.bind(document) as (...given: unknown[]) => Element;
    const failing = (...given: unknown[]): Element => {
      if (given[1] === 'table') throw new Error('no table can be drawn');
      return real(...given);
    };
    Object.defineProperty(document, 'createElementNS', { configurable: true, value: failing });
    return undefined;
  }, broken);

/** An error in the page that nothing catches. */
export const throwInPage = (page: Page): Promise<void> =>
  page.evaluate(
    () =>
      void setTimeout(() => {
        throw new Error('a screw came loose');
      }, 0),
  );

/** "HOLD: The desk is out of reach…": the word and the decisive line beside it. */
export async function strip(page: Page): Promise<string> {
  return page.evaluate(() => {
    const textOf = (selector: string): string => document.querySelector(selector)?.textContent ?? '';
    const said = textOf('#advice-missing') || textOf('#advice-reasons');
    return `${textOf('#advice-word')}: ${said}`.replaceAll('\u202f', ' ');
  });
}

/** The words of the strip from here on, in order. */
export async function listening(page: Page): Promise<() => Promise<string[]>> {
  const from = await page.evaluate(() => window.breaking.said.length);
  return () =>
    page.evaluate((at) => window.breaking.said.slice(at).map(({ word, beside }) => `${word}: ${beside}`), from);
}

/** Waits for the word of the full sample. */
export const settled = (page: Page): Promise<void> =>
  page.locator('[role=status][aria-label=Advice][aria-busy=false]').waitFor();

/** All that stood under "Wrong now" while Problems was open. */
export const wrongSoFar = (page: Page): Promise<string> =>
  page.evaluate(() => [...window.breaking.wrong].join('\n').replaceAll('\u202f', ' '));

/** What a panel says once it is drawn: it stands in place of the one before a task later. */
export async function panelText(page: Page, name: string): Promise<string> {
  await openTab(page, name);
  return page.locator(`#panel[aria-labelledby="tab-${name}"]`).innerText();
}

export async function problems(page: Page): Promise<string> {
  return (await panelText(page, 'Problems')).replaceAll('\u202f', ' ');
}
