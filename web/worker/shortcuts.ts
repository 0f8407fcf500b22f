// What makes the start of Pyodide shorter from outside: functions of the browser that it calls, which do less for it.

const LONGEST_SHAPE = 64;

/**
 * Pyodide compiles a tiny wasm module for each of some 260 functions that it hands to C, of a few shapes only.
 * The same bytes give the same module.
 */
export function compileShapesOnce(): void {
  const made = new Map<string, WebAssembly.Module>();
  WebAssembly.Module = new Proxy(WebAssembly.Module, {
    construct(Module, given: ConstructorParameters<typeof WebAssembly.Module>) {
      const [bytes] = given;
      if (!(bytes instanceof Uint8Array) || bytes.length > LONGEST_SHAPE) return new Module(...given);
      const key = String.fromCharCode(...bytes);
      const module = made.get(key) ?? new Module(...given);
      made.set(key, module);
      return module;
    },
  });
}

/**
 * Pyodide begins to compile its wasm only when its script has run; here that goes on beside it. What Pyodide
 * fetches itself is an empty module, which must never run.
 */
export function handOver(interpreter: Promise<WebAssembly.Module>): void {
  const own = WebAssembly.instantiateStreaming;
  WebAssembly.instantiateStreaming = async (_empty, imports) => {
    WebAssembly.instantiateStreaming = own;
    const module = await interpreter;
    return { module, instance: await WebAssembly.instantiate(module, imports) };
  };
}
