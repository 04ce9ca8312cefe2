-- 0003 · book 2 → 3 · never edited once released · a copy is kept first
-- Why: batches, stock, vets, prescriptions, kept papers, egg counts, courses, off-label uses, what registers ask of a
-- move or death, changed rules. Old rows: unchanged; every new column is empty, which means not written down.
-- Cost: new tables and columns added in place, nothing is rewritten. Test: book::migrate::tests.
alter table product add column export text not null default '';
alter table product add column routes text not null default '[]';
alter table product add column opened_days integer;
alter table product add column storage text;
alter table product add column prescription_only integer not null default 0;
alter table product add column class text not null default 'other';
alter table product add column most_kind text check (most_kind in ('ul', 'ug', 'pieces'));
alter table product add column most integer;
alter table product add column site_most_kind text check (site_most_kind in ('ul', 'ug', 'pieces'));
alter table product add column site_most integer;

create table batch (
  id blob primary key not null check (length(id) = 16),
  product blob not null references product (id), number text not null, expiry_on text, bought_on text,
  supplier text, supplier_address text, quantity_kind text check (quantity_kind in ('ul', 'ug', 'pieces')),
  quantity integer, price_cents integer, invoice text, opened_on text, note text, struck text, struck_on text
) strict, without rowid;

create table stock_move (
  id blob primary key not null check (length(id) = 16),
  product blob not null references product (id), batch text, on_day text not null,
  change text not null check (change in ('wasted', 'disposed of', 'counted')),
  quantity_kind text check (quantity_kind in ('ul', 'ug', 'pieces')), quantity integer,
  how text, place text, reason text, struck text, struck_on text
) strict, without rowid;

create table vet (
  id blob primary key not null check (length(id) = 16),
  name text not null, practice text, address text, contact text, number text
) strict, without rowid;

create table prescription (
  id blob primary key not null check (length(id) = 16),
  vet blob not null references vet (id), on_day text not null, valid_to text, number text, product text not null,
  whom text, dose text, reason text, off_label integer not null default 0,
  meat text not null default '', milk text not null default '', export text not null default '',
  struck text, struck_on text
) strict, without rowid;

-- A picture or PDF of an invoice or a prescription. Its bytes lie in journal_file, which the journal does not
-- record: they are written once and never changed, so that undo and redo need not carry them.
create table document (
  id blob primary key not null check (length(id) = 16),
  batch blob references batch (id), prescription blob references prescription (id),
  name text not null, kind text not null, size integer not null, on_day text not null, struck text, struck_on text,
  check ((batch is null) <> (prescription is null))
) strict, without rowid;
create table journal_file (id blob primary key not null check (length(id) = 16), bytes blob not null) strict;

create table egg_count (
  id blob primary key not null check (length(id) = 16),
  animal blob references animal (id), herd text, on_day text not null, epg integer not null check (epg >= 0),
  product text, treated_on text, note text, struck text, struck_on text
) strict, without rowid;

-- A row of a rule set as the keeper has it, or a whole set of their own (row_key empty), in the words of its files.
create table rule_change (
  id blob primary key not null check (length(id) = 16),
  rule_set text not null, row_key text not null, toml text not null
) strict, without rowid;
create unique index rule_change_once on rule_change (rule_set, row_key);

alter table treatment add column export text not null default '';
alter table treatment add column vet_gave integer not null default 0;
alter table treatment add column off_label text;
alter table treatment add column prescription blob references prescription (id);
alter table treatment add column course blob check (length(course) = 16);
alter table treatment add column course_nth integer;
alter table treatment add column course_of integer;
alter table treatment add column course_hours integer;

alter table movement add column number text;
alter table movement add column address text;
alter table movement add column carrier text;
alter table movement add column vehicle text;
alter table movement add column document text;
alter table movement add column cause text;
alter table movement add column disposal text;
alter table movement add column receipt text;
