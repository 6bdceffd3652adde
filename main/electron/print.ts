// A brief as PDF in Electron: a hidden window with no script and no desk, fed from memory, printed and destroyed.
import { randomUUID } from 'node:crypto';
import type { Outcome } from '../contract.ts';
import { PRINT_POLICY } from '../policy.ts';
import { PRINT_ORIGIN, PRINT_PARTITION, printOptions, SCHEME } from './options.ts';
import type { ElectronPort, WindowPort } from './port.ts';

export function createPrinter<W extends WindowPort, M>(
  electron: ElectronPort<W, M>,
): (html: string) => Promise<Outcome<Uint8Array>> {
  const pages = new Map<string, string>();
  const session = electron.session.fromPartition(PRINT_PARTITION);
  session.setPermissionRequestHandler((_contents, _permission, callback) => callback(false));
  session.setPermissionCheckHandler(() => false);
  session.setDevicePermissionHandler(() => false);
  session.protocol.handle(SCHEME, async (request) => {
    const html = pages.get(request.url);
    if (html === undefined) return new Response('There is no such page.', { status: 404 });
    return new Response(html, {
      headers: { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': PRINT_POLICY },
    });
  });
  return async (html) => {
    const url = `${PRINT_ORIGIN}/${randomUUID()}`;
    const window = new electron.BrowserWindow(printOptions());
    pages.set(url, html);
    try {
      await window.loadURL(url);
      const pdf = await window.webContents.printToPDF({
        printBackground: true,
        preferCSSPageSize: true,
        pageSize: 'A4',
        generateTaggedPDF: true,
      });
      return { ok: true, value: new Uint8Array(pdf) };
    } catch (error) {
      return {
        ok: false,
        why: `The page could not be printed: ${error instanceof Error ? error.message : String(error)}.`,
      };
    } finally {
      pages.delete(url);
      if (!window.isDestroyed()) window.destroy();
    }
  };
}
