import { AS_READ } from '../sampler.ts';

export const airOverCeiling = AS_READ;
