-- Why: an animal that is taken back, or out for good, is looked for in every row that may name it; these were gone
-- through from end to end. Old rows: as they are.
create index animal_foster on animal (foster) where foster is not null;
create index lambing_ram on lambing (ram) where ram is not null;
create index joining_ram on joining (ram);
create index treatment_prescription on treatment (prescription) where prescription is not null;
