import type { LINK_ROUTES } from '../../../../shared/routes/people.ts';
import type { LinkState, LinkView, PeopleService } from '../../../ports.ts';
import type { Handlers } from '../router.ts';

const STATUS: Readonly<Record<LinkState, number>> = {
  good: 200,
  forged: 400,
  expired: 410,
  spent: 410,
  over: 410,
};

/**
 * /answer: acknowledging an alarm, or confirming a test, by the link of a message. The link itself is the permission, so that it works from
 * wherever the message was read; looking at it changes nothing, as mail programs look at links by themselves.
 */
export function linkHandlers({ people }: { readonly people: PeopleService }): Handlers<typeof LINK_ROUTES> {
  return {
    'get /answer/{token}': ({ params, response }) => {
      const view = people.view(params.token);
      response.status(STATUS[view.state]).set('cache-control', 'no-store').type('html').send(pageOf(view));
    },
    'post /answer/{token}': ({ params, request, response }) => {
      const view = people.follow(params.token);
      response.status(STATUS[view.state]).set('cache-control', 'no-store');
      if (request.accepts(['html', 'json']) === 'json') response.json(view);
      else response.type('html').send(pageOf(view));
    },
  };
}

function pageOf({ ask, headline, words }: LinkView): string {
  const rest = ask
    ? `<form method="post"><button type="submit">${escaped(ask.button)}</button></form>\n<p>${escaped(ask.means)}</p>`
    : `<p role="status"><strong>${escaped(words)}</strong></p>`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<link rel="icon" href="/icon.svg" type="image/svg+xml">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Strikewell: answer a message</title>
<link rel="stylesheet" href="/answer.css">
</head>
<body>
<main>
<h1>${escaped(headline)}</h1>
${rest}
</main>
</body>
</html>
`;
}

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
