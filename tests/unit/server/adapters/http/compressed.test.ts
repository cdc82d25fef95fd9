import { writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request } from 'node:http';
import { join } from 'node:path';
import { brotliCompressSync, brotliDecompressSync, gunzipSync, gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Interface, startInterface } from '../../support/interface.ts';

type Raw = { readonly status: number; readonly headers: IncomingHttpHeaders; readonly body: Buffer };

let page: Interface;
beforeAll(async () => {
  page = await startInterface();
});
afterAll(() => page.close());

/** As it comes over the wire, not unpacked. */
function raw(path: string, headers: Readonly<Record<string, string>> = {}, method = 'GET'): Promise<Raw> {
  return new Promise((resolve, reject) => {
    const asked = request({ port: page.port, path, method, headers, agent: false }, (reply) => {
      const chunks: Buffer[] = [];
      reply.on('data', (chunk: Buffer) => chunks.push(chunk));
      reply.on('end', () =>
        resolve({ status: reply.statusCode ?? 0, headers: reply.headers, body: Buffer.concat(chunks) }),
      );
    });
    asked.once('error', reject).end();
  });
}

const SHEETS = '/api/v1/sheets';
const sizeOf = ({ body }: Raw) => body.length;

describe('an answer of more than 1 kB', () => {
  test('goes out as it is to who names no encoding, or refuses them, and says that others get it otherwise', async () => {
    const plain = await raw(SHEETS);
    expect(plain.headers['content-encoding']).toBeUndefined();
    expect(plain.headers['vary']).toBe('Accept-Encoding');
    expect(sizeOf(plain)).toBeGreaterThan(300_000);
    const refusing = await raw(SHEETS, { 'accept-encoding': 'br;q=0, gzip;q=0' });
    expect(refusing.headers['content-encoding']).toBeUndefined();
    expect(refusing.body.equals(plain.body)).toBe(true);
  });

  test('is the same once unpacked, from brotli where it is taken, else from gzip, and less than a tenth', async () => {
    const plain = await raw(SHEETS);
    const brotli = await raw(SHEETS, { 'accept-encoding': 'gzip, deflate, br' });
    expect(brotli.headers['content-encoding']).toBe('br');
    expect(brotliDecompressSync(brotli.body).equals(plain.body)).toBe(true);
    const gzip = await raw(SHEETS, { 'accept-encoding': 'gzip, br;q=0' });
    expect(gzip.headers['content-encoding']).toBe('gzip');
    expect(gunzipSync(gzip.body).equals(plain.body)).toBe(true);
    expect(Math.max(sizeOf(brotli), sizeOf(gzip))).toBeLessThan(sizeOf(plain) / 10);
  });

  test('has one tag for all encodings, and is 304 with no body to who shows it', async () => {
    const { etag = '' } = (await raw(SHEETS)).headers;
    expect(etag).toMatch(/^W\//);
    const again = await raw(SHEETS, { 'accept-encoding': 'br', 'if-none-match': etag });
    expect(again.status).toBe(304);
    expect(again.headers.etag).toBe(etag);
    expect(again.headers['content-encoding']).toBeUndefined();
    expect(sizeOf(again)).toBe(0);
    expect((await raw(SHEETS, { 'if-none-match': 'W/"another"' })).status).toBe(200);
  });

  test('is answered to HEAD with the tag of the GET and no body', async () => {
    const got = await raw(SHEETS, { 'accept-encoding': 'gzip' });
    const head = await raw(SHEETS, { 'accept-encoding': 'gzip' }, 'HEAD');
    for (const name of ['etag', 'vary', 'content-type']) expect(head.headers[name]).toBe(got.headers[name]);
    expect([head.status, sizeOf(head)]).toEqual([200, 0]);
  });
});

test('an answer of less than 1 kB is not compressed', async () => {
  const { headers, body } = await raw('/api/v1/alarms', { 'accept-encoding': 'br, gzip' });
  expect(body.toString()).toBe('{"alarms":[]}');
  expect(headers['content-encoding']).toBeUndefined();
});

describe('an asset of the page', () => {
  const text = 'export const words = "cuttings root";\n'.repeat(100);
  const twins = { br: brotliCompressSync(text), gzip: gzipSync(text) };
  beforeAll(() => {
    const file = join(page.deps.pageDir, 'assets', 'page-2.js');
    writeFileSync(file, text);
    writeFileSync(`${file}.br`, twins.br);
    writeFileSync(`${file}.gz`, twins.gzip);
  });

  test('goes out as the twin that the build wrote, as a script, to be kept for a year', async () => {
    for (const [encoding, twin] of Object.entries(twins)) {
      const { status, headers, body } = await raw('/assets/page-2.js', { 'accept-encoding': encoding });
      expect([status, headers['content-encoding'], headers['vary']]).toEqual([
        200,
        encoding,
        'Accept-Encoding',
      ]);
      expect(headers['content-type']).toBe('text/javascript; charset=utf-8');
      expect(headers['cache-control']).toBe('public, max-age=31536000, immutable');
      expect(body.equals(twin)).toBe(true);
    }
  });

  test('goes out as it is to who takes neither, and where there is no twin', async () => {
    const { headers, body } = await raw('/assets/page-2.js');
    expect(body.toString()).toBe(text);
    expect([headers['content-encoding'], headers['vary']]).toEqual([undefined, 'Accept-Encoding']);
    const alone = await raw('/assets/page-1.js', { 'accept-encoding': 'br' });
    expect([alone.body.toString(), alone.headers['content-encoding']]).toEqual(['export {};', undefined]);
  });

  test('is 304 to who has the twin, and 404 where there is none', async () => {
    const { etag = '' } = (await raw('/assets/page-2.js', { 'accept-encoding': 'br' })).headers;
    const again = await raw('/assets/page-2.js', { 'accept-encoding': 'br', 'if-none-match': etag });
    expect([again.status, sizeOf(again)]).toEqual([304, 0]);
    expect((await raw('/assets/page-3.js', { 'accept-encoding': 'br' })).status).toBe(404);
    expect((await raw('/assets/../index.html', { 'accept-encoding': 'br' })).status).not.toBe(500);
  });
});
