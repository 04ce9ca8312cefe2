-- 0006 · book 5 → 6 · never edited once released · a copy is kept first
-- Why: feeds, what became of them, analysis sheets, measures weighed out, creeps, daily rations, checks of the pens.
-- Old rows: unchanged.
-- Cost: new tables, nothing is rewritten. Test: book::migrate::tests.
-- Figures of an analysis are thousandths of their unit, of dry matter; parts are JSON, as written on the day.
create table feed (
  id blob primary key not null check (length(id) = 16),
  name text not null, kind text not null, likened text, made_for text not null,
  bag_g integer check (bag_g > 0), price_cents integer check (price_cents >= 0), parts text,
  product blob references product (id), per_kg integer, per_kg_kind text, note text,
  dry_matter integer, protein integer, energy integer, tdn integer, calcium integer, phosphorus integer,
  copper integer, molybdenum integer, selenium integer, fibre integer
) strict, without rowid;

create table feed_move (
  id blob primary key not null check (length(id) = 16),
  feed blob not null references feed (id), on_day text not null, at_time text, change text not null,
  amount_g integer check (amount_g >= 0), parts text, pen text, level integer check (level between 0 and 100),
  batch text, price_cents integer check (price_cents >= 0), supplier text, invoice text, best_before text,
  note text, struck text, struck_on text
) strict, without rowid;
create index feed_move_feed on feed_move (feed);

create table feed_sheet (
  id blob primary key not null check (length(id) = 16),
  feed blob not null references feed (id), on_day text not null, lab text, number text, batch text, note text,
  struck text, struck_on text,
  dry_matter integer, protein integer, energy integer, tdn integer, calcium integer, phosphorus integer,
  copper integer, molybdenum integer, selenium integer, fibre integer
) strict, without rowid;
create index feed_sheet_feed on feed_sheet (feed);

create table feed_measure (
  id blob primary key not null check (length(id) = 16),
  feed blob not null references feed (id), name text not null, on_day text not null, weighed_g text not null,
  struck text, struck_on text
) strict, without rowid;
create index feed_measure_feed on feed_measure (feed);

create table creep (
  id blob primary key not null check (length(id) = 16),
  pen text not null, from_on text not null, to_on text, feed blob references feed (id),
  holds_g integer check (holds_g > 0), note text, struck text, struck_on text
) strict, without rowid;
create index creep_feed on creep (feed) where feed is not null;

create table ration (
  id blob primary key not null check (length(id) = 16),
  eaters text not null, pen text, feed blob not null references feed (id), from_on text not null,
  each_g integer not null check (each_g >= 0), measure blob references feed_measure (id), note text,
  struck text, struck_on text
) strict, without rowid;
create index ration_feed on ration (feed);

create table pen_check (
  id blob primary key not null check (length(id) = 16),
  pen text not null, on_day text not null, at_time text, what text not null, fault text, note text,
  struck text, struck_on text
) strict, without rowid;
