import type { LINK_ROUTES } from '../../../../shared/routes/people.ts';
import type { LinkState, PeopleService } from '../../../ports.ts';
import { answerPage } from '../answer/page.ts';
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
      response
        .status(STATUS[view.state])
        .set('cache-control', 'no-store')
        .type('html')
        .send(answerPage(view));
    },
    'post /answer/{token}': ({ params, request, response }) => {
      const view = people.follow(params.token);
      response.status(STATUS[view.state]).set('cache-control', 'no-store');
      if (request.accepts(['html', 'json']) === 'json') response.json(view);
      else response.type('html').send(answerPage(view));
    },
  };
}
