//! The planner against an outside solver.

mod cuts;
mod solver;
