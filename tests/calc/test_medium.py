from inventory.calc.medium import Rule, verdict

NEVER = Rule("never", "Lithium burns in nitrogen.", "a source")


def test_a_pair_with_a_rule_gets_that_rule():
    assert verdict({("Li", "nitrogen"): NEVER}, "Li", "nitrogen") is NEVER


def test_a_pair_without_a_rule_is_to_be_avoided_and_says_why():
    rule = verdict({("Li", "nitrogen"): NEVER}, "Rb", "nitrogen")

    assert rule.verdict == "avoid"
    assert "Rb" in rule.sentence
