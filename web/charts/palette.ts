export type Palette = {
  readonly ink: string;
  readonly soft: string;
  readonly line: string;
  readonly paper: string;
  readonly wash: string;
  readonly band: string;
  readonly soilBand: string;
  readonly soilInk: string;
  readonly below: string;
  readonly above: string;
  readonly font: string;
};

/** The colours of the page as the canvas needs them, read from the style sheet in force. */
export function paletteOf(element: Element): Palette {
  const style = getComputedStyle(element);
  const named = (name: string) => style.getPropertyValue(name).trim();
  return {
    ink: named('--ink'),
    soft: named('--soft'),
    line: named('--line'),
    paper: named('--paper'),
    wash: named('--wash'),
    band: named('--band'),
    soilBand: named('--soil-band'),
    soilInk: named('--soil-ink'),
    below: named('--below'),
    above: named('--above'),
    font: style.fontFamily,
  };
}

const TILE_PX = 7;

/** A hatch: falling lines for below, rising lines for above. */
export function hatch(
  context: CanvasRenderingContext2D,
  colour: string,
  rising: boolean,
): CanvasPattern | string {
  const tile = document.createElement('canvas');
  tile.width = TILE_PX;
  tile.height = TILE_PX;
  const pen = tile.getContext('2d');
  if (!pen) return colour;
  pen.strokeStyle = colour;
  pen.lineWidth = 1.6;
  for (const shift of [-TILE_PX, 0, TILE_PX]) {
    pen.moveTo(shift - 1, rising ? TILE_PX + 1 : -1);
    pen.lineTo(shift + TILE_PX + 1, rising ? -1 : TILE_PX + 1);
  }
  pen.stroke();
  return context.createPattern(tile, 'repeat') ?? colour;
}
