import { constants } from 'node:zlib';
import compression from 'compression';
import type { RequestHandler } from 'express';

/** Smaller answers go as they are: they fit into one packet, bytes. */
const LEAST_BYTES = 1_000;
/** Quick rather than small; the window is as large as an answer, so that memory stays small. */
const BROTLI = { [constants.BROTLI_PARAM_QUALITY]: 5, [constants.BROTLI_PARAM_LGWIN]: 19 };
/** What streams, as exports do, is none of these. */
const JSON_TYPE = /^application\/(?:problem\+)?json\b/;

/** Compresses answers in JSON where the asker takes it, in threads of node: the one that takes readings goes on. */
export function compressedJson(): RequestHandler {
  return compression({
    threshold: LEAST_BYTES,
    brotli: { params: BROTLI },
    filter: (_request, response) => JSON_TYPE.test(String(response.getHeader('content-type'))),
  });
}
