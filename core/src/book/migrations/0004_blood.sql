-- 0004 · book 3 → 4 · never edited once released · a copy is kept first
-- Why: crayon marks and matings seen, crayons changed, scans, tests of genes and parents, names of joining groups,
-- registry particulars. Old rows: unchanged; every new column is empty, which means not written down.
-- Cost: new tables and columns added in place, nothing is rewritten. Test: book::migrate::tests.
alter table animal add column prefix text;
alter table animal add column section text;
alter table joining add column herd text;

create table mating_mark (
  id blob primary key not null check (length(id) = 16),
  ewe blob not null references animal (id), ram blob references animal (id), on_day text not null,
  kind text not null, colour text, note text, struck text, struck_on text
) strict, without rowid;
create index mating_mark_ewe on mating_mark (ewe);
create index mating_mark_ram on mating_mark (ram);

create table crayon (
  id blob primary key not null check (length(id) = 16),
  ram blob not null references animal (id), on_day text not null, colour text not null, struck text, struck_on text
) strict, without rowid;
create index crayon_ram on crayon (ram);

create table scan (
  id blob primary key not null check (length(id) = 16),
  ewe blob not null references animal (id), on_day text not null, found text not null,
  age_days integer check (age_days between 1 and 200), note text, struck text, struck_on text
) strict, without rowid;
create index scan_ewe on scan (ewe);

create table gene_test (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null,
  kind text not null check (kind in ('scrapie', 'recessive', 'parentage', 'other')),
  what text, result text not null, parent blob references animal (id),
  lab text, number text, note text, struck text, struck_on text,
  check ((kind = 'parentage') = (parent is not null))
) strict, without rowid;
create index gene_test_animal on gene_test (animal);
create index gene_test_parent on gene_test (parent);
