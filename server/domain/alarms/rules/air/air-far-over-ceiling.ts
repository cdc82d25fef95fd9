import { AS_READ } from '../sampler.ts';

export const airFarOverCeiling = AS_READ;
