// Wind files reach the window by dropping them on it, by the button, or by the key; all end in the same place.
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { JSX } from 'preact';
import { useStore } from '../context.ts';
import { attach, say } from '../state/acting/actions.ts';
import type { Store } from '../state/derived/store.ts';

/** A file longer than this is not read: the readers take some hundred MB, a page's memory less. */
const BYTES_MAX = 200_000_000;

async function take(store: Store, files: readonly File[]): Promise<void> {
  const read: { name: string; bytes: Uint8Array }[] = [];
  for (const file of files) {
    if (file.size > BYTES_MAX) {
      say(store, `${file.name} has ${Math.round(file.size / 1e6)} MB; at most ${BYTES_MAX / 1e6} MB are read.`, true);
      continue;
    }
    try {
      read.push({ name: file.name, bytes: new Uint8Array(await file.arrayBuffer()) });
    } catch {
      say(store, `${file.name} could not be read from the disk; a folder cannot be dropped here.`, true);
    }
  }
  await attach(store, read);
}

export function WindFiles(): JSX.Element {
  const store = useStore();
  const over = useSignal(false);
  useEffect(() => listenToDrops(store, (is) => (over.value = is)), [store, over]);
  return (
    <>
      <input
        id="wind-file"
        type="file"
        class="said"
        multiple
        tabIndex={-1}
        aria-label="Add wind files"
        onChange={(event) => {
          const input = event.currentTarget;
          void take(store, [...(input.files ?? [])]).finally(() => {
            input.value = '';
          });
        }}
      />
      {over.value ? (
        <div class="drop" aria-hidden="true">
          Drop wind files to add them to this mission
        </div>
      ) : null}
    </>
  );
}

function listenToDrops(store: Store, setOver: (is: boolean) => void): () => void {
  const hasFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') === true;
  const onOver = (event: DragEvent): void => {
    if (!hasFiles(event)) return;
    event.preventDefault();
    setOver(true);
  };
  const onLeave = (event: DragEvent): void => {
    if (event.relatedTarget === null) setOver(false);
  };
  const onDrop = (event: DragEvent): void => {
    setOver(false);
    if (!hasFiles(event)) return;
    event.preventDefault();
    void take(store, [...(event.dataTransfer?.files ?? [])]);
  };
  window.addEventListener('dragover', onOver);
  window.addEventListener('dragleave', onLeave);
  window.addEventListener('drop', onDrop);
  return () => {
    window.removeEventListener('dragover', onOver);
    window.removeEventListener('dragleave', onLeave);
    window.removeEventListener('drop', onDrop);
  };
}
