/*
 * What the daemon holds is a third of what node takes once messages come thickly: it lets the space for new objects
 * grow to 64 MiB and garbage to the size of all that lives, and the C library keeps a pool of freed memory a thread.
 */
export const LEAN_FLAGS = ['--optimize-for-size', '--max-semi-space-size=4'];
const ENVIRONMENT = {
  MALLOC_ARENA_MAX: '1',
  MALLOC_MMAP_THRESHOLD_: '65536',
  MALLOC_TRIM_THRESHOLD_: '131072',
};

/**
 * How a program starts that holds the record in little memory.
 *
 * @param args the program and its arguments
 * @param env its environment, which wins
 * @returns arguments of node, and the environment
 */
export function startedLeanly<Env extends NodeJS.ProcessEnv>(
  args: readonly string[],
  env: Env,
): { readonly args: readonly string[]; readonly env: typeof ENVIRONMENT & Env } {
  return { args: [...LEAN_FLAGS, ...args], env: { ...ENVIRONMENT, ...env } };
}
