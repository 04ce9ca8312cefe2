-- 0008 · book 7 → 8 · never edited once released · a copy is kept first
-- Why: pictures and papers are kept with any record, not with batches and prescriptions alone, and files that are alike
-- lie in the book once. Old rows: they name the same batch or prescription in the new way, in the journal too, so that
-- undo and other copies know them; no picture is chosen for an animal yet.
-- Cost: kept files are read and written once. `sha256` is given by the program. Test: book::migrate::tests.
create table journal_bytes (
  sha blob primary key not null check (length(sha) = 32), bytes blob not null
) strict;
insert or ignore into journal_bytes (sha, bytes) select sha256(bytes), bytes from journal_file;

-- What a paper belongs to is a table and an id, which the program looks after; an animal has a column of its own, so
-- that its papers follow it by the foreign key when two animals are made one. 'holding' is who keeps the flock.
create table document_new (
  id blob primary key not null check (length(id) = 16),
  of_table text not null, of_id blob check (length(of_id) = 16), animal blob references animal (id),
  name text not null, kind text not null, size integer not null, on_day text not null,
  sha blob not null check (length(sha) = 32), portrait integer not null default 0, struck text, struck_on text,
  check ((of_table = 'animal') = (animal is not null)),
  check ((of_table in ('animal', 'holding')) = (of_id is null))
) strict, without rowid;
insert into document_new (id, of_table, of_id, name, kind, size, on_day, sha, struck, struck_on)
  select id, iif(batch is null, 'prescription', 'batch'), coalesce(batch, prescription), name, kind, size, on_day,
    coalesce((select sha256(f.bytes) from journal_file f where f.id = d.id), zeroblob(32)), struck, struck_on
  from document d;

update journal_change set
  old = iif(json_type(old, '$.size') is null, old, json_remove(json_set(old,
    '$.of_table', iif(old ->> '$.batch' is null, 'prescription', 'batch'),
    '$.of_id', coalesce(old ->> '$.batch', old ->> '$.prescription'), '$.animal', null, '$.portrait', 0,
    '$.sha', coalesce((select hex(sha256(f.bytes)) from journal_file f where f.id = unhex(key)), hex(zeroblob(32)))),
    '$.batch', '$.prescription')),
  new = iif(json_type(new, '$.size') is null, new, json_remove(json_set(new,
    '$.of_table', iif(new ->> '$.batch' is null, 'prescription', 'batch'),
    '$.of_id', coalesce(new ->> '$.batch', new ->> '$.prescription'), '$.animal', null, '$.portrait', 0,
    '$.sha', coalesce((select hex(sha256(f.bytes)) from journal_file f where f.id = unhex(key)), hex(zeroblob(32)))),
    '$.batch', '$.prescription'))
where tbl = 'document';
update journal_conflict set
  ours = iif(json_type(ours, '$.size') is null, ours, json_remove(json_set(ours,
    '$.of_table', iif(ours ->> '$.batch' is null, 'prescription', 'batch'),
    '$.of_id', coalesce(ours ->> '$.batch', ours ->> '$.prescription'), '$.animal', null, '$.portrait', 0,
    '$.sha', coalesce((select hex(sha256(f.bytes)) from journal_file f where f.id = unhex(key)), hex(zeroblob(32)))),
    '$.batch', '$.prescription')),
  theirs = iif(json_type(theirs, '$.size') is null, theirs, json_remove(json_set(theirs,
    '$.of_table', iif(theirs ->> '$.batch' is null, 'prescription', 'batch'),
    '$.of_id', coalesce(theirs ->> '$.batch', theirs ->> '$.prescription'), '$.animal', null, '$.portrait', 0,
    '$.sha', coalesce((select hex(sha256(f.bytes)) from journal_file f where f.id = unhex(key)), hex(zeroblob(32)))),
    '$.batch', '$.prescription'))
where tbl = 'document' and col = '*';

drop table document;
alter table document_new rename to document;
create index document_of on document (of_id) where of_id is not null;
create index document_animal on document (animal) where animal is not null;
drop table journal_file;
alter table journal_bytes rename to journal_file;

-- Why: the keeper lays out the pens of the shed. Old rows: none; a pen without a row is laid out by itself. The key is
-- the pen's name without capitals, so that two copies which lay out the same pen have one row.
create table pen_place (
  pen text primary key not null, name text not null, place text not null,
  sort text not null check (sort in ('shed', 'outside', 'off'))
) strict, without rowid;
