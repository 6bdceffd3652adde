// Wind files reach the window by dropping them on it, by the button, or by the key; all end in the same place.
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { JSX } from 'preact';
import { MAX_FILE_BYTES } from '../../main/contract.ts';
import { useStore } from '../context.ts';
import { attach, say } from '../state/acting/actions.ts';
import type { WindFileChosen } from '../model.ts';
import type { Store } from '../state/derived/store.ts';

async function take(store: Store, files: readonly File[]): Promise<void> {
  const chosen: WindFileChosen[] = [];
  for (const file of files) {
    if (file.size > MAX_FILE_BYTES) {
      say(
        store,
        `${file.name} has ${Math.round(file.size / 1e6)} MB; at most ${MAX_FILE_BYTES / 1e6} MB are read.`,
        true,
      );
      continue;
    }
    try {
      // A folder shows itself by its first byte.
      await file.slice(0, 1).arrayBuffer();
      chosen.push({ name: file.name, read: async () => new Uint8Array(await file.arrayBuffer()) });
    } catch {
      say(store, `${file.name} could not be read from the disk; a folder cannot be dropped here.`, true);
    }
  }
  await attach(store, chosen);
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
