import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { RequestHandler } from 'express';

/** What stands at `/` while no page is built: the daemon works all the same. */
const NO_PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Strikewell: no page yet</title>
</head>
<body>
<main>
<h1>Strikewell is running, but its page has not been built</h1>
<p>Readings are received and saved, alarms are judged and people are notified.</p>
<p>To get the page, run <code>npm ci</code> in the folder of Strikewell and start it again.</p>
<p>Meanwhile: <a href="/healthz">state</a>, <a href="/api/v1/openapi.json">interface</a>.</p>
</main>
</body>
</html>
`;

/** Answers in the place of a page that is not there. */
export function withoutPage(pageDir: string): RequestHandler {
  return (_request, response, next) => {
    if (existsSync(join(pageDir, 'index.html'))) next();
    else response.status(503).set('cache-control', 'no-store').type('html').send(NO_PAGE);
  };
}
