//! A record of demo parts that passes, and ways to spoil it.

use railwright::catalog::{Catalog, Common};
use railwright::document::{self, Source};
use railwright::policy::Policy;
use railwright::record::write::{record, sha256};
use railwright::record::{RailChoice, Record, RecordedPart, assemble};
use railwright::requirement::Requirement;
use railwright::review::{Dossier, Inputs, audit};

use crate::support::world;

pub(crate) const REQUIREMENTS: &str = include_str!("../fixtures/review/requirements.yaml");
const RECORD: &str = include_str!("../fixtures/review/record.yaml");

/// Everything a review is made from, each open to spoiling.
pub(crate) struct Bench {
    pub(crate) requirement: Requirement,
    pub(crate) digest: String,
    pub(crate) catalog: Catalog,
    pub(crate) policy: Policy,
    pub(crate) record: Record,
    pub(crate) today: Option<&'static str>,
}

/// The sound record of one 12 V rail.
pub(crate) fn sound() -> Bench {
    let requirement = world::asked(REQUIREMENTS);
    let (catalog, policy) = (world::demo(), world::policy("house"));
    let kept: Record =
        document::from_yaml(&Source::new("record.yaml", RECORD)).expect("the fixture is a record");
    let assembly = assemble(&kept.rails[0], &catalog).expect("the demo catalog has these parts");
    let digest = sha256(REQUIREMENTS.as_bytes());
    let record = record(&requirement, &digest, &policy, &catalog, &[RailChoice { rail: "main", assembly }]);
    Bench { requirement, digest, catalog, policy, record, today: None }
}

/// The record of a kept design, as it was handed over.
pub(crate) fn designed(name: &str) -> Bench {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("designs").join(name);
    let text = |file: &str| std::fs::read_to_string(folder.join(file)).expect("kept");
    let asked = text("requirements.yaml");
    let requirement = world::asked(&asked);
    let policy = world::policy(&requirement.policy);
    let record =
        document::from_yaml(&Source::new("record.yaml", text("record.yaml"))).expect("a kept record");
    Bench {
        digest: sha256(asked.as_bytes()),
        requirement,
        catalog: world::demo(),
        policy,
        record,
        today: None,
    }
}

impl Bench {
    /// As a review takes it.
    pub(crate) fn inputs(&self) -> Inputs<'_> {
        Inputs {
            requirement: &self.requirement,
            requirement_digest: &self.digest,
            record: &self.record,
            catalog: &self.catalog,
            policy: &self.policy,
            today: self.today,
        }
    }

    /// The review.
    pub(crate) fn audited(&self) -> Dossier {
        audit(self.inputs(), None)
    }

    /// Codes of what is found, findings only.
    pub(crate) fn found(&self) -> Vec<String> {
        let grave = railwright::review::dossier::Weight::Finding;
        self.audited().findings.into_iter().filter(|one| one.weight == grave).map(|one| one.code).collect()
    }

    /// Codes of the notes.
    pub(crate) fn noted(&self) -> Vec<String> {
        let note = railwright::review::dossier::Weight::Note;
        self.audited().findings.into_iter().filter(|one| one.weight == note).map(|one| one.code).collect()
    }

    /// The recorded part in a position.
    pub(crate) fn part(&mut self, position: &str) -> &mut RecordedPart {
        self.record.rails[0].parts.iter_mut().find(|part| part.position == position).expect("filled")
    }

    /// What the catalog says of the recorded reservoir, and the record's row digests made to agree again.
    pub(crate) fn reservoir(&mut self, change: impl FnOnce(&mut Common)) {
        let id = self.part("reservoir").part.clone();
        let part = self
            .catalog
            .electrolytics
            .iter_mut()
            .find(|part| part.common.id.0 == id)
            .expect("in the catalog");
        change(&mut part.common);
        self.freshen();
    }

    /// Takes the digests as they now are, so that only the change itself can be found.
    pub(crate) fn freshen(&mut self) {
        let rails = self.record.rails.clone();
        let choices: Vec<RailChoice<'_>> = rails
            .iter()
            .map(|rail| RailChoice {
                rail: &rail.rail,
                assembly: assemble(rail, &self.catalog).expect("parts of the catalog"),
            })
            .collect();
        self.record = record(&self.requirement, &self.digest, &self.policy, &self.catalog, &choices);
    }
}
