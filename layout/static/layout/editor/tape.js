// Writes a length the way the shop's tape says it, exactly: what a box is given is read back as the same length.
const NM_PER_INCH = 25_400_000;
const NM_PER_MM = 1_000_000;
const FINEST = 64;

const shorten = (top, bottom) => {
  while (top % 2 === 0 && bottom > 1) [top, bottom] = [top / 2, bottom / 2];
  return [top, bottom];
};

export function written(nm, style) {
  if (style === "mm" || (nm * FINEST) % NM_PER_INCH !== 0) return `${nm / NM_PER_MM} mm`;
  const parts = (nm * FINEST) / NM_PER_INCH;
  let whole = Math.floor(parts / FINEST);
  const [top, bottom] = shorten(parts % FINEST, FINEST);
  const feet = style === "ft-in" ? Math.floor(whole / 12) : 0;
  whole -= feet * 12;
  const fraction = top ? `${top}/${bottom}` : "";
  const inches = fraction ? (whole || feet ? `${whole} ${fraction}` : fraction) : `${whole}`;
  return `${feet ? `${feet}'-` : ""}${inches}"`;
}
