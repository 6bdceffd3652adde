// What the window's page may load and do, the same in both hosts: only what this program itself serves.

/** The content policy (CSP level 3). `connect`: where the page may open a connection to, besides its own files. */
export function contentPolicy(connect: readonly string[]): string {
  return [
    "default-src 'none'",
    // WebAssembly may be compiled (netCDF-4 is read by one that this program serves itself); script from text may not.
    "script-src 'self' 'wasm-unsafe-eval'",
    "style-src 'self'",
    // Pictures that the page draws itself: hillshade and exports.
    "img-src 'self' data: blob:",
    "font-src 'self'",
    `connect-src ${["'self'", ...connect].join(' ')}`,
    "worker-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-src 'self' blob:",
    "frame-ancestors 'none'",
    "object-src 'none'",
  ].join('; ');
}

/**
 * Every answer carries these. The two cross-origin lines isolate the page, which also gives it clocks fine enough to
 * measure with.
 */
export function pageHeaders(connect: readonly string[]): { readonly [name: string]: string } {
  return {
    'Content-Security-Policy': contentPolicy(connect),
    'X-Content-Type-Options': 'nosniff',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Embedder-Policy': 'require-corp',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Permissions-Policy': 'camera=(), microphone=(), geolocation=(), usb=(), serial=(), hid=(), payment=()',
  };
}

/**
 * Of a page that is only printed: its text is all there is, its own style and pictures in data: addresses, no script,
 * no other place.
 */
export const PRINT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:";
