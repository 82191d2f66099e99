//! What README shows of the demo is what the demo prints.

const README: &str = include_str!("../../README.md");
const OUTPUT: &str = include_str!("../scenarios/output.txt");

#[test]
fn every_excerpt_in_the_readme_stands_in_the_output() {
    let excerpts: Vec<&str> = README
        .split("```text\n")
        .skip(1)
        .map(|rest| rest.split("\n```").next().unwrap_or(rest))
        .collect();
    assert!(excerpts.len() >= 5, "the three walks show real output");
    // A line of dots stands for lines left out.
    for piece in excerpts.iter().flat_map(|excerpt| excerpt.split("\n...\n")) {
        assert!(
            OUTPUT.contains(piece),
            "not what the demo prints now:\n{piece}"
        );
    }
}
