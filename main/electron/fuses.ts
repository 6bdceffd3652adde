// Electron's fuses: switches in its binary that a package sets once and signs. Each is named here with the value that
// this program wants, so that a package cannot be made with one forgotten. Names and order are those of Electron's fuse
// wire, version 1.

/** Every fuse of Electron 45, by its place in the wire. */
export const FUSE_WIRE = [
  'RunAsNode',
  'EnableCookieEncryption',
  'EnableNodeOptionsEnvironmentVariable',
  'EnableNodeCliInspectArguments',
  'EnableEmbeddedAsarIntegrityValidation',
  'OnlyLoadAppFromAsar',
  'LoadBrowserProcessSpecificV8Snapshot',
  'GrantFileProtocolExtraPrivileges',
  'WasmTrapHandlers',
] as const;

export type Fuse = (typeof FUSE_WIRE)[number];

/** Complete by type: a fuse without a value does not compile. */
export const fuses: { readonly [F in Fuse]: boolean } = {
  // The program must not double as a Node that runs anything.
  RunAsNode: false,
  EnableNodeOptionsEnvironmentVariable: false,
  EnableNodeCliInspectArguments: false,
  EnableCookieEncryption: true,
  EnableEmbeddedAsarIntegrityValidation: true,
  OnlyLoadAppFromAsar: true,
  // No snapshot of our own is made.
  LoadBrowserProcessSpecificV8Snapshot: false,
  // Pages come from the program's own scheme, never from file:.
  GrantFileProtocolExtraPrivileges: false,
  WasmTrapHandlers: true,
};

/** The text before the wire in the binary; one byte of version and one of length follow it. */
const SENTINEL = Buffer.from('dL7pKGdnNz796PbbjQWNKmHXBZaB9tsX', 'latin1');

export type FuseState = 'off' | 'on' | 'removed' | 'inherited';

const STATES: { readonly [byte: string]: FuseState } = { '0': 'off', '1': 'on', r: 'removed', '\x90': 'inherited' };

/**
 * The states of all fuses in an Electron binary, in the wire's order; null where the bytes hold no wire of version 1.
 */
export function readFuseWire(binary: Buffer): FuseState[] | null {
  const start = binary.indexOf(SENTINEL);
  if (start < 0) return null;
  const at = start + SENTINEL.length;
  const length = binary[at + 1];
  if (binary[at] !== 1 || length === undefined) return null;
  const states = [...binary.subarray(at + 2, at + 2 + length)].map((byte) => STATES[String.fromCharCode(byte)]);
  return states.length === length && states.every((state) => state !== undefined) ? states : null;
}
