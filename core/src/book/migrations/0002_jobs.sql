-- 0002 · book 1 → 2 · never edited once released · a copy is kept first
-- Why: the keeper's ticks of jobs, changes of the care plan, what an animal is meant for. Old rows: unchanged, meant
-- for is empty (not yet decided). Cost: new tables and one column added in place, nothing is rewritten.
-- Test: book::migrate::tests.
create table tick (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), step text not null, anchor_on text not null,
  round integer not null default 0, outcome text not null check (outcome in ('done', 'skipped', 'put off')),
  until_on text, on_day text not null, at_time text, note text, struck text, struck_on text,
  check ((outcome = 'put off') = (until_on is not null))
) strict, without rowid;
create index tick_animal on tick (animal);

-- A step of the care plan as the keeper wants it, whole, in the words of the plan's own files.
create table plan_step (
  id blob primary key not null check (length(id) = 16),
  season integer, step text not null, toml text not null
) strict, without rowid;
create unique index plan_step_once on plan_step (ifnull(season, 0), step);

alter table animal add column meant_for text check (meant_for in ('breeding', 'market'));
