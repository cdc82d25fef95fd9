/** Finds every program the tests drive, installing Debian's packages where it may; throws with the line that says what to install. */
export function readyTools(): Record<string, string>;
