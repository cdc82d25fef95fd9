import { AS_READ } from '../sampler.ts';

export const airFarTooCold = AS_READ;
