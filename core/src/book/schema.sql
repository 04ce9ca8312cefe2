-- The book, format 1. Readable with any SQLite tool: ids are 16 random bytes, weights whole grams, doses whole
-- microlitres or micrograms, days ISO 8601, times HH:MM local. Struck records stay, with reason and day.
create table setting (name text primary key not null, value text not null) strict, without rowid;

create table animal (
  id blob primary key not null check (length(id) = 16),
  name text, sex text not null check (sex in ('ewe', 'ram', 'wether')), breed text,
  born text not null default '', dam blob references animal (id), sire blob references animal (id),
  genetic_dam blob references animal (id),
  rearing text not null default 'dam' check (rearing in ('dam', 'foster', 'bottle')),
  foster blob references animal (id),
  birth_type integer, rear_type integer, birth_weight_g integer, colour text, marks text, pen text, note text,
  status text not null, status_on text, status_reason text
) strict, without rowid;
create index animal_dam on animal (dam) where dam is not null;
create index animal_sire on animal (sire) where sire is not null;
create index animal_genetic_dam on animal (genetic_dam) where genetic_dam is not null;

-- A sire in doubt: one row for each ram it may be.
create table possible_sire (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), ram blob not null references animal (id), place integer not null
) strict, without rowid;
create index possible_sire_animal on possible_sire (animal);
create index possible_sire_ram on possible_sire (ram);

create table identity (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), place integer not null,
  kind text not null check (kind in ('flock', 'electronic', 'official', 'registry')),
  tag text not null, norm text not null, from_on text, to_on text,
  ended text check (ended in ('lost', 'replaced'))
) strict, without rowid;
create index identity_animal on identity (animal);
create unique index identity_worn on identity (kind, norm) where ended is null;

create table lambing (
  id blob primary key not null check (length(id) = 16),
  ewe blob not null references animal (id), on_day text not null, at_time text,
  ram blob references animal (id), ease text, help text, note text, struck text, struck_on text
) strict, without rowid;
create index lambing_ewe on lambing (ewe);

-- What was seen of a lamb at its birth; the key is the lamb's own id.
create table birth (
  id blob primary key not null references animal (id),
  lambing blob not null references lambing (id), place integer not null,
  fate text not null check (fate in ('alive', 'born dead', 'died')),
  ease text, sucked integer, navel_dipped integer, colostrum_ul integer
) strict, without rowid;
create index birth_lambing on birth (lambing);

create table joining (
  id blob primary key not null check (length(id) = 16),
  ewe blob not null references animal (id), ram blob not null references animal (id),
  from_on text not null, to_on text, method text, struck text, struck_on text
) strict, without rowid;
create index joining_ewe on joining (ewe);

create table weighing (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, at_time text,
  weight_g integer not null check (weight_g > 0), note text, struck text, struck_on text
) strict, without rowid;
create index weighing_animal on weighing (animal);

create table product (
  id blob primary key not null check (length(id) = 16),
  name text not null, substance text, form text, ug_per_ml integer,
  rule text not null default 'typed' check (rule in ('typed', 'per kg', 'per head')), rule_ul integer,
  route text, meat text not null default '', milk text not null default '', licensed_for text
) strict, without rowid;

create table treatment (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, at_time text,
  product text not null, batch text,
  dose_kind text check (dose_kind in ('ul', 'ug', 'pieces')), dose integer,
  route text, site text, reason text, given_by text, prescribed_by text,
  meat text not null default '', milk text not null default '', struck text, struck_on text
) strict, without rowid;
create index treatment_animal on treatment (animal);

create table pen_move (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, pen text, struck text, struck_on text
) strict, without rowid;
create index pen_move_animal on pen_move (animal);

create table movement (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, status text not null,
  other text, reason text, struck text, struck_on text
) strict, without rowid;
create index movement_animal on movement (animal);

create table remark (
  id blob primary key not null check (length(id) = 16),
  animal blob not null references animal (id), on_day text not null, text text not null, struck text, struck_on text
) strict, without rowid;
create index remark_animal on remark (animal);

-- The journal: one line for each write, and every row it changed.
create table journal_entry (
  seq integer primary key,
  id blob not null unique check (length(id) = 16),
  at text not null, who text not null, kind text not null, what text not null, reason text,
  undoes integer, redoes integer
) strict;
create table journal_change (
  seq integer primary key,
  entry integer not null references journal_entry (seq),
  tbl text not null, key text not null, old text, new text
) strict;
create index journal_change_entry on journal_change (entry);
create index journal_change_key on journal_change (tbl, key);
