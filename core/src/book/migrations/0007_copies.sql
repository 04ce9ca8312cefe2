-- 0007 · book 6 → 7 · never edited once released · a copy is kept first
-- Why: two copies of one book are brought together. A line's clock is above that of every line its copy knew of; lines
-- of another copy name the line that brought them; what both changed differently is kept until a person decides.
-- Old rows: the clock of a line is its number.
-- Cost: every line of the journal is rewritten once. Test: book::migrate::tests.
alter table journal_entry add column clock integer;
alter table journal_entry add column brought integer;
update journal_entry set clock = seq;
create index journal_entry_clock on journal_entry (clock);
create index journal_entry_brought on journal_entry (brought) where brought is not null;

create table journal_conflict (
  id blob primary key not null check (length(id) = 16),
  line integer not null, tbl text not null, key text not null, col text not null,
  ours text, theirs text, our_line integer not null, their_line integer not null,
  stands text not null check (stands in ('ours', 'theirs')), decided integer
) strict;
create index journal_conflict_line on journal_conflict (line);
