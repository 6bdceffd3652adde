// A file that the build puts into the program as a data URL.
declare module '*.woff2?inline' {
  const url: string;
  export default url;
}
