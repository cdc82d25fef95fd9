import { createHash } from 'node:crypto';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import type { Request, Response } from 'express';

/** Smaller answers go as they are: they fit into one packet, bytes. */
const LEAST_COMPRESSED_BYTES = 1_000;

/** Quick rather than small; the window is as large as an answer, so that memory stays small. */
const BROTLI = {
  params: {
    [constants.BROTLI_PARAM_QUALITY]: 5,
    [constants.BROTLI_PARAM_LGWIN]: 19,
    [constants.BROTLI_PARAM_MODE]: constants.BROTLI_MODE_TEXT,
  },
};
/** Both work in threads of their own: the one thread that takes readings goes on. */
const COMPRESS = {
  br: (text: Buffer) => promisify(brotliCompress)(text, BROTLI),
  gzip: (text: Buffer) => promisify(gzip)(text),
};

/**
 * Sends an answer as JSON with a tag of what is in it: 304 to who has it already, else compressed where the asker takes it.
 * @param answer what is sent; a tag that was set before stays
 */
export async function sendJson(request: Request, response: Response, answer: unknown): Promise<void> {
  const text = Buffer.from(JSON.stringify(answer));
  response.type('json').vary('Accept-Encoding');
  const isRead = request.method === 'GET' || request.method === 'HEAD';
  if (isRead && !response.hasHeader('etag')) response.setHeader('etag', tagOf(text));
  const encoding = text.length < LEAST_COMPRESSED_BYTES ? undefined : encodingFor(request);
  // who has it already is sent nothing: there is nothing to compress
  if (encoding === undefined || request.fresh) return void response.send(text);
  const compressed = await COMPRESS[encoding](text);
  response.setHeader('content-encoding', encoding);
  response.send(compressed);
}

function encodingFor(request: Request): keyof typeof COMPRESS | undefined {
  return (['br', 'gzip'] as const).find((encoding) => request.acceptsEncodings(encoding) !== false);
}

/** A weak tag: it says that the content is the same, however it is compressed. */
export function tagOf(content: string | Buffer): string {
  return `W/"${createHash('sha256').update(content).digest('base64url').slice(0, 27)}"`;
}
