// What is used of npm @cornerstonejs/codec-openjpeg 1.3, which brings no types.
declare module '@cornerstonejs/codec-openjpeg/decodewasmjs' {
  interface Decoder {
    getEncodedBuffer(length: number): Uint8Array;
    decode(): void;
    getFrameInfo(): { readonly bitsPerSample: number; readonly isSigned: boolean };
    getDecodedBuffer(): Uint8Array;
    delete(): void;
  }
  interface Library {
    readonly J2KDecoder: new () => Decoder;
  }
  interface Options {
    readonly wasmBinary: Uint8Array;
    print(text: string): void;
    printErr(text: string): void;
  }
  const start: (options: Options) => Promise<Library>;
  export default start;
}

/** As a data address in base 64, by the bundler. */
declare module '@cornerstonejs/codec-openjpeg/decodewasm?url&inline' {
  const address: string;
  export default address;
}
