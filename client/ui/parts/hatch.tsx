// Trades are told apart as on a drawing: by hatches, never by colour alone. Each is drawn in ink on a
// tile; a trade without one of its own is left plain.

interface Tile { w: number; h: number; d: string; dots?: boolean; wide?: number }

const TILES: Record<string, Tile> = {
  owner: { w: 14, h: 14, d: "M7 4v6M4 7h6" },
  carpentry: { w: 24, h: 12, d: "M0 3h24M0 9h24M8 3v6M20 9v6M20 -3v6" },
  plumbing: { w: 16, h: 16, d: "M8 4a4 4 0 1 0 .01 0" },
  electric: { w: 10, h: 10, d: "M-2 12L12 -2M-2 2L2 -2M8 12L12 8" },
  mechanical: { w: 13, h: 13, d: "M0 6.5h13M6.5 0v13" },
  insulation: { w: 20, h: 12, d: "M0 9q5 -9 10 0t10 0" },
  sound: { w: 12, h: 14, d: "M0 4h8M4 11h8" },
  board: { w: 12, h: 12, d: "M3 3h0M9 9h0", dots: true },
  taping: { w: 20, h: 10, d: "M0 5h11M15 5h2" },
  paint: { w: 18, h: 10, d: "M0 2h18M0 5h10" },
  floor: { w: 28, h: 18, d: "M0 0h28M0 9h28M9 0v9M23 9v9" },
  stucco: { w: 13, h: 13, d: "M2 3l2 1M9 2l1 2M6 9l2 -1M11 10l1 1M1 11h1" },
  concrete: { w: 18, h: 18, d: "M3 3l4 1l-2 3zM12 11h0M15 4h0M5 14h0", dots: true },
  doors: { w: 18, h: 18, d: "M2 16V2M2 16h14M16 16A14 14 0 0 0 2 2" },
  demolition: { w: 12, h: 12, d: "M0 0L12 12M12 0L0 12" },
  hauling: { w: 18, h: 12, d: "M2 3l5 3l-5 3M11 3l5 3l-5 3" },
  data: { w: 14, h: 14, d: "M0 7h4v-4h4v8h6" },
};

const id = (trade: string) => `h-${trade in TILES ? trade : "plain"}`;
export const hatch = (trade: string) => (trade in TILES ? `url(#${id(trade)})` : "none");

/** Hatches stands once in the page; every drawing refers to it. */
export function Hatches() {
  return (
    <svg class="defs" width="0" height="0" aria-hidden="true" focusable="false">
      <defs>
        {Object.entries(TILES).map(([trade, tile]) => (
          <pattern key={trade} id={id(trade)} width={tile.w} height={tile.h} patternUnits="userSpaceOnUse">
            <path class={tile.dots ? "hatch dots" : "hatch"} d={tile.d} />
          </pattern>
        ))}
      </defs>
    </svg>
  );
}

export const Swatch = ({ trade }: { trade: string }) => (
  <svg class="swatch" aria-hidden="true" focusable="false"><rect width="100%" height="100%" fill={hatch(trade)} /></svg>
);
