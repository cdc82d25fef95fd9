import { once } from 'node:events';
import { connect, createServer, type Socket } from 'node:net';
import type { Daemon } from '../../support/daemon.ts';

/** What passed since it was last asked. */
type Passed = { readonly requests: readonly string[]; readonly kilobytes: number };

export type Wire = {
  readonly url: string;
  /** requests and kB (1,000 bytes) towards the browser, heads and websockets included, since the last call */
  passed(): Passed;
  /** resolves once nothing has passed for so long, ms */
  quiet(forMs: number): Promise<void>;
  close(): void;
};

const REQUEST = /^(?:GET|POST|PUT|HEAD|PATCH|DELETE) (\S+) HTTP\/1\.1\r$/gm;

/** Stands between a browser and the daemon and counts what passes, as it passes: compressed, with all heads. */
export async function wireTo({ httpPort }: Daemon): Promise<Wire> {
  let requests: string[] = [];
  let bytes = 0;
  let lastMs = performance.now();
  const sockets = new Set<Socket>();
  const join = (browser: Socket) => {
    const daemon = connect(httpPort, '127.0.0.1');
    for (const socket of [browser, daemon]) {
      sockets.add(socket);
      socket.setNoDelay(true);
      socket.on('error', () => socket.destroy());
      socket.on('close', () => sockets.delete(socket));
    }
    browser.on('data', (chunk) => {
      requests.push(...Array.from(chunk.toString('latin1').matchAll(REQUEST), ([, path = '']) => path));
      lastMs = performance.now();
    });
    daemon.on('data', (chunk) => {
      bytes += chunk.length;
      lastMs = performance.now();
    });
    browser.pipe(daemon).pipe(browser);
  };
  const server = createServer(join).listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  const port = typeof address === 'object' && address ? address.port : 0;
  return {
    url: `http://127.0.0.1:${port}`,
    passed() {
      const passed = { requests, kilobytes: bytes / 1000 };
      requests = [];
      bytes = 0;
      return passed;
    },
    async quiet(forMs) {
      while (performance.now() - lastMs < forMs) await new Promise((resolve) => setTimeout(resolve, 20));
    },
    close() {
      server.close();
      for (const socket of sockets) socket.destroy();
    },
  };
}
