//! What must be checked: procedures and their items, which of them a machine has, and whether an answer is good enough.

pub mod answer;
pub mod applies;
pub mod belief;
pub mod item;
pub mod judgement;
pub mod sheet;

pub use answer::{Measured, Verdict, judge_answer};
pub use applies::{Asked, asked};
pub use belief::{Belief, Doubt, Edge};
pub use item::{AnswerKind, Each, IfFailed, Item, Procedure, When, Who};
pub use judgement::{CheckJudgement, ItemJudgement, Outcome, Reading, judge, judge_by};
pub use sheet::{Line, Sheet};
