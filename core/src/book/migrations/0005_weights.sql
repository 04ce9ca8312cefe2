-- 0005 · book 4 → 5 · never edited once released · a copy is kept first
-- Why: sessions at the scale, scores, decisions what an animal is kept for, contemporary groups mended by hand, money.
-- Old rows: unchanged; a weighing without a session was written down by itself.
-- Cost: new tables and one column added in place, nothing is rewritten. Test: book::migrate::tests.
create table session (
  id blob primary key not null check (length(id) = 16),
  on_day text not null, at_time text, scale text, herd text, gut text check (gut in ('fasted', 'full')), note text
) strict, without rowid;

alter table weighing add column session blob references session (id);
create index weighing_session on weighing (session) where session is not null;

create table scoring (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, at_time text,
  kind text not null, quarters integer not null check (quarters between 0 and 20),
  session blob references session (id), note text, struck text, struck_on text
) strict, without rowid;
create index scoring_animal on scoring (animal);
create index scoring_session on scoring (session) where session is not null;

create table decision (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, what text not null, reason text,
  struck text, struck_on text
) strict, without rowid;
create index decision_animal on decision (animal);

create table grouping (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), age_days integer not null check (age_days between 0 and 1000),
  herd text not null
) strict, without rowid;
create index grouping_animal on grouping (animal);

create table money (
  id blob primary key not null check (length(id) = 16),
  on_day text not null, kind text not null, cents integer not null check (cents >= 0),
  herd text, note text, struck text, struck_on text
) strict, without rowid;
