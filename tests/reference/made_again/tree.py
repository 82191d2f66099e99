"""SHA-2 values and Merkle trees, roots and proofs by the definitions of RFC 6962 section 2.1, with
hashlib. The Ed25519 vectors are RFC 8032's and are not signed again: only the changes made to
them are."""

import hashlib
import re

GIVEN = re.compile(
    r"(^|\.)(source|upstream_check|tolerance|edge_policy|leaf_rule|tree_size|leaf_index|why|kind)$"
    r"|^ed25519\.vectors|leaves_hex|\.(size1|size2|base|change|leaves)$"
    r"|^merkle\.negative\.cases\.\d+\.(leaf_hash|root|root1|root2|proof\.\d+)$"
)
GROUP_ORDER = 2**252 + 27742317777372353535851937790883648493


def sha256(data):
    return hashlib.sha256(data).digest()


def split(count):
    """The largest power of two below the count."""
    return 1 << ((count - 1).bit_length() - 1)


def root(leaves):
    if len(leaves) < 2:
        return sha256(b"\x00" + leaves[0]) if leaves else sha256(b"")
    k = split(len(leaves))
    return sha256(b"\x01" + root(leaves[:k]) + root(leaves[k:]))


def path(index, leaves):
    """The inclusion proof of a leaf."""
    if len(leaves) == 1:
        return []
    k = split(len(leaves))
    if index < k:
        return path(index, leaves[:k]) + [root(leaves[k:])]
    return path(index - k, leaves[k:]) + [root(leaves[:k])]


def growth(size, leaves, whole=True):
    """The consistency proof that the first leaves were not changed."""
    if size == len(leaves):
        return [] if whole else [root(leaves)]
    k = split(len(leaves))
    if size <= k:
        return growth(size, leaves[:k], whole) + [root(leaves[k:])]
    return growth(size - k, leaves[k:], False) + [root(leaves[:k])]


def inclusion(case, leaves):
    index, tree = case["leaf_index"], leaves[: case["tree_size"]]
    return {
        "leaf_hash": root([tree[index]]).hex(),
        "root": root(tree).hex(),
        "proof": [node.hex() for node in path(index, tree)],
    }


def consistency(case, leaves):
    small, tree = case["size1"], leaves[: case["size2"]]
    return {
        "root1": root(leaves[:small]).hex(),
        "root2": root(tree).hex(),
        "proof": [node.hex() for node in growth(small, tree)] if small <= len(tree) else None,
    }


def holds(case, leaves):
    """A claim holds only when it is the one true claim about these leaves."""
    true = (inclusion if case["kind"] == "inclusion" else consistency)(case, leaves)
    return all(case[name] == value for name, value in true.items())


def seven_leaves(leaves):
    """The example of RFC 6962 section 2.1.3, by its letters."""
    spans = {letter: (at, at + 1) for at, letter in enumerate("abcdef")} | {"j": (6, 7)}
    spans |= {"g": (0, 2), "h": (2, 4), "i": (4, 6), "k": (0, 4), "l": (4, 7)}
    nodes = {letter: root(leaves[first:end]) for letter, (first, end) in spans.items()}
    letters = {node: letter for letter, node in nodes.items()}
    tree = leaves[:7]
    return {
        "nodes": {letter: node.hex() for letter, node in nodes.items()},
        "inclusion": {at: [letters[n] for n in path(at, tree)] for at in (0, 3, 4, 6)},
        "consistency": {size: [letters[n] for n in growth(size, tree)] for size in (3, 4, 6)},
    }


def merkle(committed):
    leaves = [bytes.fromhex(leaf) for leaf in committed["leaves_hex"]]
    larger = committed["larger_trees"]["cases"]
    negative = committed["negative"]["cases"]
    return {
        "leaf_hashes": [root([leaf]).hex() for leaf in leaves],
        "roots_by_size": [root(leaves[:size]).hex() for size in range(len(leaves) + 1)],
        "inclusion": [inclusion(case, leaves) for case in committed["inclusion"]],
        "consistency": [consistency(case, leaves) for case in committed["consistency"]],
        "rfc6962_seven_leaf_example": seven_leaves(leaves),
        "larger_trees": {"cases": [{"root": numbered(case["tree_size"])} for case in larger]},
        "negative": {"cases": [{"valid": holds(case, leaves)} for case in negative]},
    }


def numbered(size):
    return root([b"event-%d" % number for number in range(size)]).hex()


def changed(case, vectors):
    """A vector with the change the case names, which makes its signature invalid."""
    vector = next(vector for vector in vectors if vector["name"] == case["base"])
    message = bytearray.fromhex(vector["message"])
    signature = bytearray.fromhex(vector["signature"])
    if case["change"] == "message last bit flipped":
        message[-1] ^= 1
    elif case["change"] == "signature first bit flipped":
        signature[0] ^= 1
    else:
        larger = int.from_bytes(signature[32:], "little") + GROUP_ORDER
        signature[32:] = larger.to_bytes(32, "little")
    remade = {"message": message.hex(), "signature": signature.hex(), "valid": False}
    return remade | {"public_key": vector["public_key"]}


def document(committed):
    signed = committed["ed25519"]
    changes = [changed(case, signed["vectors"]) for case in signed["negative"]["cases"]]
    return {
        "ed25519": {"negative": {"cases": changes}},
        "sha": {
            "sha256_abc": sha256(b"abc").hex(),
            "sha512_abc": hashlib.sha512(b"abc").hexdigest(),
            "sha256_empty": sha256(b"").hex(),
        },
        "merkle": merkle(committed["merkle"]),
    }
