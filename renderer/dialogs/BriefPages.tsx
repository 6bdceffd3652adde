// The brief as it is printed, in a frame of its own: no script runs in it, and its style comes in through the CSSOM,
// which the content policy allows where it refuses styles in HTML. Printing prints the frame.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { faceByAddress } from '../state/acting/briefFace.ts';
import { say } from '../state/acting/actions.ts';
import { Dialog } from './Dialog.tsx';
import { Act } from '../parts/buttons.tsx';

export function BriefPages(): JSX.Element {
  const store = useStore();
  const frame = useRef<HTMLIFrameElement>(null);
  const [loaded, setLoaded] = useState(false);
  const [ready, setReady] = useState(false);
  const brief = store.recovery.brief.value;
  const changes = store.recovery.changes.value;
  const ask = store.recovery.files.value;
  const writing = store.recovery.writing.value;
  const part = store.recovery.part.value;
  const crew = part.kind === 'crew' ? part.crew : null;
  const close = (): void => {
    store.floating.value = null;
  };
  useEffect(() => {
    if (!loaded || brief === null || ask === null || writing !== null) return undefined;
    let wanted = true;
    void ask({ kind: 'page', crew, fontCss: faceByAddress() }).then(
      ({ text }) => {
        if (wanted && frame.current !== null && fill(frame.current, text)) setReady(true);
      },
      (error: unknown) =>
        say(store, `The pages could not be made: ${error instanceof Error ? error.message : String(error)}`, true),
    );
    return () => {
      wanted = false;
    };
  }, [loaded, brief, changes, ask, crew, writing, store]);
  const words = ready
    ? 'Two pages for all crews, one for the lead, and one for each crew.'
    : (writing ?? store.recovery.working.value ?? 'Setting the pages…');
  return (
    <Dialog
      title={crew === null ? 'Brief, as it is printed' : `Brief for ${crew}, as it is printed`}
      close={close}
      wide
    >
      <div class="row">
        <Act first disabled={!ready} onClick={() => frame.current?.contentWindow?.print()}>
          Print
        </Act>
        <Act onClick={close}>
          Close <kbd>Esc</kbd>
        </Act>
        <span class="quiet" role="status" id="pages-state">
          {crew === null || !ready ? words : 'One page.'}
        </span>
      </div>
      <iframe
        ref={frame}
        class="brief-pages"
        title="Pages of the brief"
        sandbox="allow-same-origin allow-modals"
        srcdoc={'<!doctype html><html lang="en"><title>Brief</title><body></body></html>'}
        tabIndex={-1}
        onLoad={() => setLoaded(true)}
      />
    </Dialog>
  );
}

/** Puts a page's text into a frame that belongs to this window. */
function fill(frame: HTMLIFrameElement, html: string): boolean {
  const page = frame.contentDocument;
  const view = page?.defaultView ?? null;
  if (page === null || view === null) return false;
  const css = /<style>([\s\S]*?)<\/style>/.exec(html)?.[1] ?? '';
  const parsed = new DOMParser().parseFromString(html.replace(/<style>[\s\S]*?<\/style>/, ''), 'text/html');
  const sheet = new view.CSSStyleSheet();
  sheet.replaceSync(css);
  page.adoptedStyleSheets = [sheet];
  page.title = parsed.title;
  page.documentElement.lang = 'en';
  page.body.replaceChildren(...[...parsed.body.childNodes].map((node) => page.importNode(node, true)));
  frame.style.height = `${page.documentElement.scrollHeight + 8}px`;
  return true;
}
