import { get } from 'node:http';
import { gunzipSync } from 'node:zlib';
import { type Figure, quantile } from '../figure.ts';
import type { PageAsked } from './loads.ts';

/** The night and the sheets: how long they take, what they weigh on the wire, and how long others wait meanwhile. */
export async function slowAnswers({ daemon, ids, sizes }: PageAsked): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const what of ['night', 'sheets']) {
    const url = `${daemon.httpUrl}/api/v1/${what}`;
    const [tookMs, waits]: [number[], number[]] = [[], []];
    let bytes = 0;
    for (let i = 0; i < sizes.pageVisits; i += 1) {
      const startMs = performance.now();
      const answer = weighed(url);
      let isDone = false;
      void answer.then(() => {
        isDone = true;
      });
      while (!isDone) {
        const askedMs = performance.now();
        await (await fetch(`${daemon.httpUrl}/healthz`)).arrayBuffer();
        waits.push(performance.now() - askedMs);
      }
      bytes = await answer;
      tookMs.push(performance.now() - startMs);
    }
    const name = `${what} of ${ids.length} benches`;
    figures.push(
      { name: `${name}, answered, median`, value: quantile(tookMs, 0.5), unit: 'ms' },
      { name: `${name}, a question beside it waits at most`, value: quantile(waits, 1), unit: 'ms' },
      { name: `${name}, on the wire`, value: bytes / 1000, unit: 'kB' },
    );
  }
  return figures;
}

/** Bytes of a body as it is sent. */
function weighed(url: string): Promise<number> {
  return new Promise((resolve, reject) => {
    get(url, { headers: { 'accept-encoding': 'gzip' } }, (response) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () => {
        const body = Buffer.concat(chunks);
        if (response.headers['content-encoding'] === 'gzip') gunzipSync(body);
        resolve(body.length);
      });
    }).on('error', reject);
  });
}
