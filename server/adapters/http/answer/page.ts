import type { LinkAbout } from '../../../../shared/wire/answer.ts';
import type { LinkView } from '../../../../shared/wire/people.ts';
import { ACKNOWLEDGE_WORDS } from '../../../../shared/words/acknowledge.ts';
import { ANSWER_PAGE_WORDS as WORDS } from '../../../../shared/words/answer.ts';
import { clock } from '../../../../shared/words/plain.ts';
import { hourChart, hourTable } from './hour-chart.ts';
import { escaped, sentence } from './markup.ts';

/**
 * The page behind the link of a message: what the alarm says, its state, what to do first, the answer, the last hour and
 * who was called, in that order, as it is read on a phone. It works without a script; with one, the button says at once
 * that it is on its way.
 */
export function answerPage({ ask, headline, words, about }: LinkView): string {
  return `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<link rel="icon" href="/icon.svg" type="image/svg+xml">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Strikewell: answer a message</title>
<link rel="stylesheet" href="/answer.css">
<script src="/answer.js" defer></script>
</head>
<body>
<main>
<h1>${sentence(headline)}</h1>
${[stateOf(about), wordsOf(words), firstOf(about), formOf(ask), hourOf(about), peopleOf(about), footOf(about)].join('')}</main>
</body>
</html>
`;
}

function stateOf(about: LinkAbout | null): string {
  if (!about) return '';
  const rest = about.rest === '' ? '' : ` <span>${sentence(about.rest)}</span>`;
  return `<p class="state"><strong data-testid="answer-state">${escaped(about.state)}</strong>${rest}</p>\n`;
}

function wordsOf(words: string): string {
  return words === '' ? '' : `<p role="status"><strong>${sentence(words)}</strong></p>\n`;
}

function firstOf(about: LinkAbout | null): string {
  if (!about || about.action === '') return '';
  return `<section class="first"><h2>${WORDS.first}</h2>\n<p>${sentence(about.action)}</p></section>\n`;
}

function formOf(ask: LinkView['ask']): string {
  if (!ask) return '';
  const { pending, slow, failed } = {
    pending: ACKNOWLEDGE_WORDS.pending,
    slow: ACKNOWLEDGE_WORDS.slow,
    failed: ACKNOWLEDGE_WORDS.unknown,
  };
  const isAlarm = ask.button === ACKNOWLEDGE_WORDS.button;
  const said = isAlarm
    ? ` data-pending="${escaped(pending)}" data-slow="${escaped(slow)}" data-failed="${escaped(failed)}"`
    : '';
  return `<form method="post"${said}><button type="submit">${escaped(ask.button)}</button>
<p class="means">${sentence(ask.means)}</p><p class="problem" role="alert"></p></form>\n`;
}

function hourOf(about: LinkAbout | null): string {
  if (!about?.lastHour) return about && about.detail !== '' ? `<p>${sentence(about.detail)}</p>\n` : '';
  const { lastHour, timeZone } = about;
  const isEmpty = lastHour.points.every(({ value }) => value === null);
  const drawn = isEmpty
    ? `<p>${WORDS.noHour}</p>`
    : `${hourChart(lastHour, timeZone)}\n<details><summary>${WORDS.table}</summary>${hourTable(lastHour, timeZone)}</details>`;
  return `<section><h2>${WORDS.hour}</h2>\n${drawn}\n<p class="detail">${sentence(about.detail)}</p></section>\n`;
}

function peopleOf(about: LinkAbout | null): string {
  if (!about || about.people.length === 0) return '';
  const lines = about.people.map((line) => `<li>${sentence(line)}</li>`).join('\n');
  return `<section><h2>${WORDS.people}</h2>\n<ul data-testid="answer-people">${lines}</ul></section>\n`;
}

function footOf(about: LinkAbout | null): string {
  if (!about) return '';
  const atMs = Date.parse(about.at);
  const time = clock(atMs, { timeZone: about.timeZone, nowMs: atMs });
  return `<p class="foot">As of ${time}. <a href="">${WORDS.again}</a></p>\n`;
}
