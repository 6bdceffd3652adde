// What is measured in the page as it stands: words that are cut, that lie on other words, or outside their box, and how
// high letters are.
import type { Page } from 'playwright-core';

/**
 * A sentence for each text that a person cannot read in full. What a box that scrolls has further down is not seen now
 * and does not count; what ends in an ellipsis may, where its title has the whole of it.
 */
export const unreadable = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const clips = (el: Element): DOMRect | null => {
      const { overflowX, overflowY } = getComputedStyle(el);
      return overflowX === 'visible' && overflowY === 'visible' ? null : el.getBoundingClientRect();
    };
    const meet = (a: DOMRect, b: DOMRect): DOMRect => {
      const [x, y] = [Math.max(a.left, b.left), Math.max(a.top, b.top)];
      const [right, bottom] = [Math.min(a.right, b.right), Math.min(a.bottom, b.bottom)];
      return new DOMRect(x, y, Math.max(0, right - x), Math.max(0, bottom - y));
    };
    const ofScreen = new DOMRect(0, 0, innerWidth, innerHeight);
    const shown: { readonly words: string; readonly el: Element; readonly box: DOMRect }[] = [];
    const faults: string[] = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const el = node.parentElement;
      const words = node.textContent?.trim() ?? '';
      if (el === null || words === '' || el.closest('script, style, option, [hidden]') !== null) continue;
      if (!el.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
      let isHidden = false;
      let isTitled = false;
      let isScrolled = false;
      const clipping: { readonly box: DOMRect; readonly scrolls: boolean }[] = [];
      for (let up: Element | null = el; up !== null; up = up.parentElement) {
        const style = getComputedStyle(up);
        if (style.clipPath !== 'none') isHidden = true;
        if (
          style.textOverflow === 'ellipsis' &&
          (up.closest('[title]') !== null || up.querySelector('[title]') !== null)
        )
          isTitled = true;
        const box = clips(up);
        const scrolls = /auto|scroll/.test(`${style.overflowX} ${style.overflowY}`);
        if (box !== null) clipping.push({ box, scrolls });
      }
      if (isHidden) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        let seen = meet(rect, ofScreen);
        for (const { box, scrolls } of clipping) {
          const next = meet(seen, box);
          if (scrolls) isScrolled ||= next.width < seen.width - 1 || next.height < seen.height - 1;
          else if (!isTitled && !isScrolled && (next.width < seen.width - 1.5 || next.height < seen.height - 1.5))
            faults.push(`cut: “${words.slice(0, 60)}”`);
          seen = next;
        }
        if (!isTitled && (rect.right > innerWidth + 1 || rect.left < -1))
          faults.push(`outside the window: “${words.slice(0, 60)}”`);
        if (seen.width > 2 && seen.height > 2) shown.push({ words, el, box: seen });
      }
    }
    // Of two texts on each other the one below is not there for the eye where the one above has a ground of its own.
    const over = (el: Element): Element | null => el.closest('.strip, .entry, .map-key, .dialog, .float, .notice');
    shown.forEach((a, i) => {
      for (const b of shown.slice(i + 1)) {
        if (a.el === b.el || over(a.el) !== over(b.el)) continue;
        const both = meet(a.box, b.box);
        // The line's own leading may touch its neighbour's; letters may not.
        if (both.width > 2 && both.height > 0.35 * Math.min(a.box.height, b.box.height))
          faults.push(`on each other: “${a.words.slice(0, 40)}” and “${b.words.slice(0, 40)}”`);
      }
    });
    return [...new Set(faults)];
  });

/**
 * How high the capital letters and digits of elements are for an eye at a distance, arc minutes, by the selector.
 *
 * Method  the ascent of "H" and "0" in the element's own font, in CSS px of 1/96 inch (CSS Values and Units 4, 6.2)
 */
export const letterHeights = (
  page: Page,
  selectors: readonly string[],
  distance_mm: number,
): Promise<Record<string, number>> =>
  page.evaluate(
    ([names, far]) => {
      const context = document.createElement('canvas').getContext('2d');
      const of = (name: string): number => {
        const el = document.querySelector(name);
        if (el === null || context === null) return NaN;
        const { fontStyle, fontWeight, fontSize, fontFamily } = getComputedStyle(el);
        context.font = `${fontStyle} ${fontWeight} ${fontSize} ${fontFamily}`;
        const px = Math.min(...['H', '0'].map((sign) => context.measureText(sign).actualBoundingBoxAscent));
        return (Math.atan((px * 25.4) / 96 / far) * 180 * 60) / Math.PI;
      };
      return Object.fromEntries(names.map((name) => [name, of(name)]));
    },
    [selectors, distance_mm] as const,
  );
