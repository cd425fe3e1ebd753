import { job, status } from "../bridge";
import { head, refused, troubleText } from "../state";
import { path } from "../route";
import { t } from "../words";
import { Row, Title } from "../parts/kit";
import { Plain } from "../parts/plain";

/** Welcome is what a phone without a site shows; while it still looks, it says so. */
export function Welcome() {
  const w = t().welcome;
  const s = status.value;
  const looking = s.phase === "starting" || s.phase === "open";
  const demo = () => job({ to: "demo", name: "" }).catch((e) => { refused.value = troubleText(e); });
  return (
    <>
      <h1>{w.title}</h1>
      <p class="lead">{w.lead}</p>
      <Board />
      {looking ? <p class="soft" role="status">{w.look}</p> : (
        <div class="stack">
          {s.demo && <button type="button" class="row" onClick={() => void demo()}><span class="grow"><b>{w.demo}</b><span class="soft">{w.demoNote}</span></span></button>}
          <Row href={path("pair")} name={w.join} note={w.joinNote} />
          <Plain />
          {s.spares > 0 && <Row href={path("start")} name={w.start} />}
        </div>
      )}
    </>
  );
}

/** Arriving is what stands on every screen of a site of which nothing has come to this phone yet. */
export const Arriving = () => (
  <>
    <Title>{status.value.sites.find((s) => s.id === head.value!.siteId)?.name || t().welcome.title}</Title>
    <p class="lead" role="status">{status.value.link === "on" ? t().welcome.arriving : t().welcome.arrivesLater}</p>
  </>
);

/** Board is the same drawing as in index.html, so that the first paint does not jump. */
const Board = () => (
  <svg class="shell" viewBox="0 0 334 300" aria-hidden="true">
    <path class="wood" d="M4 20h326v14H4z" />
    <path class="string" d="M50 34v50m0 60q16 24 0 48t0 48m78-206v26m78-26v110m78-110v190" />
    <path class="taut" d="M128 130l78 20m0 70l78 20" />
    <path class="box" d="M26 84h48v60H26zM260 224h48v60h-48z" />
    <path class="box heavy" d="M104 60h48v70h-48zM182 150h48v70h-48z" />
  </svg>
);
