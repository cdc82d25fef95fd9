import fc from 'fast-check';

/** Property tests tell the same stories in every run; STRIKEWELL_SEED=<whole number> tells others. */
const FIRST_STORIES = 20_261_125;

fc.configureGlobal({ seed: Number(process.env['STRIKEWELL_SEED'] ?? FIRST_STORIES) });
