import { existsSync } from 'node:fs';
import { extname, join } from 'node:path';
import express, { type RequestHandler } from 'express';

/** What a build writes beside an asset, in the order in which it is preferred. */
const TWINS = [
  { encoding: 'br', ending: '.br' },
  { encoding: 'gzip', ending: '.gz' },
] as const;
/** No segment begins with a dot. */
const ASSET = /^(?:\/[\w-][\w.-]*)+\.(?:js|css|svg)$/;

/**
 * Serves the assets of the built page, whose names hold a hash of what is in them, for ever; compressed where the build
 * wrote a twin that the browser takes.
 * @param folder of the assets
 */
export function assets(folder: string): RequestHandler[] {
  return [
    twinOf(folder),
    express.static(folder, { immutable: true, maxAge: '1y', index: false, setHeaders: sayEncoding }),
  ];
}

/** Lets the twin of a file be served in its place. */
function twinOf(folder: string): RequestHandler {
  return (request, response, next) => {
    const { path } = request;
    const has = (ending: string) => existsSync(join(folder, `${path}${ending}`));
    if (!ASSET.test(path) || !TWINS.some(({ ending }) => has(ending))) return next();
    response.vary('Accept-Encoding');
    const twin = TWINS.find(({ encoding, ending }) => request.acceptsEncodings(encoding) && has(ending));
    if (twin) request.url = request.url.replace(path, `${path}${twin.ending}`);
    next();
  };
}

function sayEncoding(response: express.Response, file: string): void {
  const twin = TWINS.find(({ ending }) => file.endsWith(ending));
  if (!twin) return;
  response.type(extname(file.slice(0, -twin.ending.length)));
  response.setHeader('content-encoding', twin.encoding);
}
