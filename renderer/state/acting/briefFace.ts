// The face that the brief is set in: the window's own, by its address for the preview, and as data for a page that must
// stand alone.
import regular from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff2?url';
import strong from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-600-normal.woff2?url';

const FACES = [
  { weight: 400, url: regular },
  { weight: 600, url: strong },
] as const;

const rule = (weight: number, source: string): string =>
  `@font-face{font-family:"IBM Plex Sans";font-weight:${weight};src:url(${source}) format("woff2");}`;

/** For a page inside this window, which may load only what the program serves. */
export const faceByAddress = (): string =>
  FACES.map(({ weight, url }) => rule(weight, new URL(url, document.baseURI).href)).join('');

/** For a page that is printed or saved; empty where the face cannot be read: then the reader's own face serves. */
export async function faceAsData(): Promise<string> {
  try {
    const rules = FACES.map(async ({ weight, url }) => {
      const bytes = new Uint8Array(await (await fetch(url)).arrayBuffer());
      let text = '';
      for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
      return rule(weight, `data:font/woff2;base64,${btoa(text)}`);
    });
    return (await Promise.all(rules)).join('');
  } catch {
    return '';
  }
}
