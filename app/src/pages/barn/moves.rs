//! Where the keys lead in the grid: down the column of a job, a weight or a remark, and along a row.

use super::shown::Shown;

/// A column of the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Col {
    /// The job at this place of its row.
    Job(usize),
    Weight,
    Remark,
}

/// Pen and row.
pub(super) type Place = (usize, usize);

/// The next cell of the same column: of a job, the next row that has it.
pub(super) fn down(shown: &Shown, rows: &[Place], from: Place, col: Col, by: isize) -> Option<(Place, Col)> {
    let here = rows.iter().position(|r| *r == from)?;
    let job_at = |(p, r): Place, i: usize| shown.pens.get(p)?.rows.get(r)?.jobs.get(i);
    let step = match col {
        Col::Job(i) => Some(job_at(from, i)?.mark.step.clone()),
        _ => None,
    };
    let mut at = here;
    loop {
        at = at.checked_add_signed(by)?;
        let place = *rows.get(at)?;
        let Some(step) = &step else { return Some((place, col)) };
        let jobs = &shown.pens.get(place.0)?.rows.get(place.1)?.jobs;
        if let Some(i) = jobs.iter().position(|j| j.open.is_some() && j.mark.step == *step) {
            return Some((place, Col::Job(i)));
        }
    }
}

/// The first or last cell of the same column.
pub(super) fn far(
    shown: &Shown,
    rows: &[Place],
    mut from: Place,
    mut col: Col,
    by: isize,
) -> Option<(Place, Col)> {
    let mut last = None;
    while let Some((place, next)) = down(shown, rows, from, col, by) {
        (from, col) = (place, next);
        last = Some((place, next));
    }
    last
}

/// The cell to the left or right in the same row.
pub(super) fn beside(shown: &Shown, from: Place, col: Col, by: isize) -> Option<(Place, Col)> {
    let row = shown.pens.get(from.0)?.rows.get(from.1)?;
    let open = (0..row.jobs.len()).filter(|i| row.jobs[*i].open.is_some()).map(Col::Job);
    let cells: Vec<Col> = open.chain([Col::Weight, Col::Remark]).collect();
    let here = cells.iter().position(|c| *c == col)?;
    let next = here.checked_add_signed(by)?;
    cells.get(next).map(|c| (from, *c))
}
