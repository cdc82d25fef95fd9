import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { RequestHandler } from 'express';

const PATHS: readonly string[] = ['/', '/index.html'];

/** Says at the page's address that no page is built, for as long as none is. */
export function sayNoPage(pageDir: string): RequestHandler {
  return (request, response, next) => {
    const isAsked = ['GET', 'HEAD'].includes(request.method) && PATHS.includes(request.path);
    if (!isAsked || existsSync(join(pageDir, 'index.html'))) return next();
    response.set('cache-control', 'no-store').type('html').send(NO_PAGE);
  };
}

const NO_PAGE = `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Strikewell: the page is not built</title>
</head>
<body>
<h1>Strikewell is running, but its page is not built</h1>
<p>Readings are recorded, alarms are judged and people are notified. Only this page is missing.</p>
<h2>To get the page</h2>
<ol>
<li>Stop Strikewell.</li>
<li>In its folder, run <code>npm ci</code> (without <code>--omit=dev</code>).</li>
<li>Run <code>npm start</code>. It builds the page first.</li>
</ol>
<p>Until then, the same facts are at <a href="/api/v1/places">/api/v1/places</a> and
<a href="/api/v1/alarms">/api/v1/alarms</a>, and <code>strikewell doctor</code> shows what is wrong.</p>
</body>
</html>
`;
