/** The part of MicroPython's own build for WebAssembly that tests drive. */
declare module '@micropython/micropython-webassembly-pyscript/micropython.mjs' {
  type MicroPython = {
    readonly FS: { writeFile(path: string, text: string): void; mkdir(path: string): void };
    runPython(code: string): unknown;
  };
  export function loadMicroPython(options: {
    readonly stdout?: (line: string) => void;
    readonly linebuffer?: boolean;
    readonly heapsize?: number;
  }): Promise<MicroPython>;
}
