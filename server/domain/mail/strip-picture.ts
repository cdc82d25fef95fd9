import {
  type Block,
  fullLayout,
  type Part,
  type Ribbon,
  reachPx,
  type Strip,
} from '../../../shared/night/strip.ts';

/** A picture of few colours: one entry of the palette a pixel, row by row. */
export type Picture = {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly pixels: Uint8Array;
  /** red, green and blue of each entry, 0…255 */
  readonly palette: readonly (readonly [number, number, number])[];
};

/** Blue and vermilion are told apart by those who see few colours, and their hatches by everybody. @source [OKABE] */
export const STRIP_PALETTE = [
  [255, 255, 255],
  [232, 232, 228],
  [190, 190, 184],
  [120, 120, 116],
  [0, 0, 0],
  [0, 114, 178],
  [213, 94, 0],
] as const;
const [PAPER, NIGHT, BAND, LEAF, INK, BELOW, ABOVE] = [0, 1, 2, 3, 4, 5, 6] as const;

/** Pixels to one of the page: twice as many, for screens that show them so. */
const SCALE = 2;
/** One line of a hatch in so many pixels. */
const HATCH_PX = 6;
const DOT_PX = 4;

type Box = { readonly x: number; readonly y: number; readonly width: number; readonly height: number };
type Colour = (x: number, y: number) => number | null;

/**
 * A night of one place as a picture: ribbons of air, leaf and root zone, hatched where they were beyond their limits,
 * cut where nothing was read. Falling hatch is below, rising above, so that it reads in black and white.
 * @param strip parts in percent of the night
 * @param widthPx of the page, before it is drawn twice as fine
 */
export function stripPicture(strip: Strip, widthPx: number): Picture {
  const layout = fullLayout(strip.blocks);
  const size = { width: widthPx * SCALE, height: layout.heightPx * SCALE };
  const pixels = new Uint8Array(size.width * size.height).fill(PAPER);
  const fill = (box: Box, colour: Colour) => {
    const [left, right] = [
      Math.max(0, Math.round(box.x)),
      Math.min(size.width, Math.round(box.x + box.width)),
    ];
    const [top, bottom] = [
      Math.max(0, Math.round(box.y)),
      Math.min(size.height, Math.round(box.y + box.height)),
    ];
    for (let y = top; y < bottom; y++)
      for (let x = left; x < right; x++) {
        const entry = colour(x, y);
        if (entry !== null) pixels[y * size.width + x] = entry;
      }
  };
  const across = ({ from, width }: Part) => ({
    x: (from / 100) * size.width,
    width: (width / 100) * size.width,
  });
  const whole = (part: Part): Box => ({ ...across(part), y: 0, height: size.height });
  for (const night of strip.nights) fill(whole(night), () => NIGHT);
  for (const { lane, y, heightPx } of layout.ribbons)
    fill({ x: 0, width: size.width, y: y * SCALE, height: heightPx * SCALE }, () =>
      lane === 'leaf' ? LEAF : BAND,
    );
  for (const hole of strip.holes) drawHole(whole(hole), fill);
  for (const block of strip.blocks) {
    const ribbon = layout.ribbons.find(({ lane }) => lane === block.lane);
    if (ribbon) drawBlock({ ...across(block), ...beside(block, ribbon) }, block, fill);
  }
  return { widthPx: size.width, heightPx: size.height, pixels, palette: STRIP_PALETTE };
}

type Fill = (box: Box, colour: Colour) => void;

function drawHole(box: Box, fill: Fill): void {
  fill(box, () => PAPER);
  const dotted: Colour = (_x, y) => (y % (2 * DOT_PX) < DOT_PX ? INK : null);
  fill({ ...box, width: SCALE }, dotted);
  fill({ ...box, x: box.x + box.width - SCALE, width: SCALE }, dotted);
}

/** The area beside a ribbon, which is the dose. */
function beside(block: Block, { y, heightPx }: Ribbon): Pick<Box, 'y' | 'height'> {
  const reach = reachPx(block);
  const top = block.side === 'above' ? y - reach : y + heightPx;
  return { y: top * SCALE, height: reach * SCALE };
}

function drawBlock(box: Box, { side }: Block, fill: Fill): void {
  const colour = side === 'above' ? ABOVE : BELOW;
  const wide = { ...box, width: Math.max(box.width, SCALE) };
  fill(wide, (x, y) =>
    (side === 'above' ? x + y : x - y + 10_000 * HATCH_PX) % HATCH_PX < 2 ? colour : PAPER,
  );
  // a frame, so that a short one is seen too
  for (const edge of [
    { ...wide, height: SCALE },
    { ...wide, y: wide.y + wide.height - SCALE, height: SCALE },
    { ...wide, width: SCALE },
    { ...wide, x: wide.x + wide.width - SCALE, width: SCALE },
  ])
    fill(edge, () => colour);
}
