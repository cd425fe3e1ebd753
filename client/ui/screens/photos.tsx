import { views } from "../state";
import { path, pathOf, route } from "../route";
import { t } from "../words";
import { Row, Title } from "../parts/kit";
import { Pictures, Waiting } from "../parts/photos";

/** All photos and papers of the site, or of one thing. */
export function Photos() {
  const v = views.value.photos?.photos;
  const w = t().photos;
  const on = route.value.rest[0] ?? "";
  if (!v || (v.on ?? "") !== on) return <Title goBack={["more"]}>{w.title}</Title>;
  const about = v.pictures[0] ?? v.papers[0];
  return (
    <>
      <Title goBack={["more"]} line={v.line}>{v.name ? w.titleOf(v.name) : w.title}</Title>
      <Waiting />
      {v.on && about && <Row href={pathOf(about.kind, v.on)} name={v.name ?? ""} />}
      {v.on && <Row href={path("photos")} name={w.all} />}
      <Pictures on={on} list={v.pictures} papers={v.papers} all />
      <p class="soft foot-note">{w.note}</p>
    </>
  );
}
