import { checkAnswer, jsonIn, routeFor } from './answer-check.ts';

/** Whatever a test fetches of the interface is held to the schema of its route; an answer that does not fit fails it. */
const plainFetch = globalThis.fetch;

globalThis.fetch = async (input, init) => {
  const response = await plainFetch(input, init);
  const asked = new Request(input instanceof Request ? input : String(input), {
    method: init?.method ?? methodOf(input),
  });
  const path = new URL(asked.url).pathname;
  const contentType = response.headers.get('content-type');
  if (!contentType?.includes('json') || routeFor({ method: asked.method, path }) === null) return response;
  // a connection that is cut on purpose is the test's to see
  const text = await response
    .clone()
    .text()
    .catch(() => '');
  checkAnswer({ method: asked.method, path, status: response.status, contentType, body: jsonIn(text) });
  return response;
};

function methodOf(input: unknown): string {
  return input instanceof Request ? input.method : 'GET';
}
