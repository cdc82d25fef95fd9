import type { startHttp } from '../adapters/http/app.ts';
import type { createFeed } from '../adapters/live/feed.ts';
import type { MisspeltListener } from '../adapters/mqtt/misspelt.ts';
import type { Daemon } from '../daemon/daemon.ts';
import type { Demo } from '../daemon/demo.ts';
import type { Bus } from '../ports.ts';
import type { Front } from './front.ts';
import type { Keeping } from './keeping.ts';

type Stopping = {
  readonly demo: Demo;
  readonly keeping: Keeping;
  readonly daemon: Daemon;
  readonly feed: ReturnType<typeof createFeed>;
  /** edges that may not exist yet when this is made */
  readonly late: { readonly misspelt: MisspeltListener | null };
  readonly bus: Bus;
  readonly server: Awaited<ReturnType<typeof startHttp>>;
  readonly front: Front;
  readonly store: Keeping['emergency']['store'];
  readonly lock: { release(): void };
  readonly stopNotes: () => void;
};

/** Ends all that was begun, in good order. */
export function stopping(begun: Stopping): () => Promise<void> {
  const { demo, keeping, daemon, feed, late, bus, server, front, store, lock, stopNotes } = begun;
  return async () => {
    stopNotes();
    await demo.stop();
    await keeping.stop();
    daemon.stop();
    await daemon.ended();
    feed.close();
    await late.misspelt?.close();
    await bus.close();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    front.settled();
    store.close();
    lock.release();
  };
}
