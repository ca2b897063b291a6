"""The hazard pictograms, drawn for this project from their descriptions in words.

A square set at a point, black symbol on white ground in a red frame (UN GHS 1.4.10.4;
Regulation (EC) 1272/2008, Annex I 1.2.1 and Annex V). Neither fixes the frame's
width: eight hundredths of the side is easily seen.

Everything lies in a box of 1000 × 1000 that the square's four corners touch, y down
as in SVG. Symbols are filled by the even-odd rule: a path inside another is a hole.
"""

import re
from functools import cache
from math import sqrt

from .wording import CannotPrint

BOX = 1000
FRAME = 0.08  # of the side

NAMES = {
    "GHS02": "flame",
    "GHS03": "flame over circle",
    "GHS04": "gas cylinder",
    "GHS05": "corrosion",
    "GHS06": "skull and crossbones",
    "GHS07": "exclamation mark",
    "GHS08": "health hazard",
    "GHS09": "environment",
}

Point = tuple[float, float]
Segment = tuple[str, tuple[Point, ...]]  # M, L: one point; C: three; Z: none

_COORDINATES = {"M": 1, "L": 1, "C": 3, "Z": 0}


class UnknownPictogram(CannotPrint):
    def __init__(self, code: str) -> None:
        super().__init__(f"There is no drawing for pictogram “{code}”.")


def box_mm(side_mm: float) -> float:
    """Return the width of the upright box round a pictogram of this side."""
    return side_mm * sqrt(2)


def frame() -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Return the corners of the outer, red and of the inner, white square."""
    return _square(BOX / 2), _square(BOX / 2 * (1 - 2 * FRAME))


@cache
def symbol(code: str) -> tuple[Segment, ...]:
    """Return the black symbol as path segments. Raises UnknownPictogram."""
    segments: list[Segment] = []
    for command, numbers in re.findall(r"([MLCZ])([^MLCZ]*)", symbol_path(code)):
        values = [float(number) for number in numbers.split()]
        points = tuple(zip(values[::2], values[1::2], strict=True))
        step = _COORDINATES[command] or 1
        for start in range(0, max(len(points), 1), step):
            segments.append((command, points[start : start + step]))
    return tuple(segments)


def symbol_path(code: str) -> str:
    """Return the black symbol as SVG path data for `fill-rule="evenodd"`."""
    if code not in _SYMBOLS:
        raise UnknownPictogram(code)
    return _SYMBOLS[code]


def _square(reach: float) -> tuple[Point, ...]:
    middle = BOX / 2
    return (
        (middle, middle - reach),
        (middle + reach, middle),
        (middle, middle + reach),
        (middle - reach, middle),
    )


_SYMBOLS = {
    # Flame above a line.
    "GHS02": (
        "M410 640 C335 612 288 556 288 482 C288 432 304 392 322 345 C336 395 350 "
        "415 374 432 C372 352 470 290 443 158 C545 215 592 290 580 384 C602 366 616 "
        "336 616 298 C682 376 712 428 712 488 C712 560 662 614 590 640 C628 600 632 "
        "548 604 498 C596 524 584 538 566 548 C572 492 548 440 496 404 C502 470 462 "
        "492 436 524 C404 562 398 604 410 640 Z M318 662 L682 662 L682 714 L318 714 "
        "Z"
    ),
    # Flame over a circle, standing on a line.
    "GHS03": (
        "M441 489 C388 470 356 431 356 379 C356 344 367 316 379 283 C389 318 399 "
        "332 416 344 C414 288 483 244 464 152 C536 192 568 244 560 310 C575 298 585 "
        "277 585 250 C631 305 652 341 652 383 C652 433 617 471 567 489 C594 461 596 "
        "425 577 390 C571 408 563 418 550 425 C554 386 538 349 501 324 C505 370 477 "
        "386 459 408 C437 435 433 464 441 489 Z M500 488 C565 488 618 541 618 606 "
        "C618 671 565 724 500 724 C435 724 382 671 382 606 C382 541 435 488 500 488 "
        "Z M500 532 C541 532 574 565 574 606 C574 647 541 680 500 680 C459 680 426 "
        "647 426 606 C426 565 459 532 500 532 Z M386 742 L614 742 L614 782 L386 782 "
        "Z"
    ),
    # A gas cylinder, lying.
    "GHS04": (
        "M248 584 C239 589 238 599 243 608 L290 684 C296 693 306 694 314 689 L620 "
        "497 C661 472 658 446 663 429 L686 414 L692 424 L739 395 C748 390 749 381 "
        "743 374 L720 336 C716 329 707 325 699 331 L652 361 L658 370 L635 385 C619 "
        "381 595 368 555 392 Z"
    ),
    # Two test tubes drip on metal and on a hand; both are eaten away.
    "GHS05": (
        "M262 344 L278 324 L287 332 L399 199 C417 177 448 174 470 192 C491 210 494 "
        "241 476 263 L364 396 L373 404 L356 424 Z M300 342 L412 209 C424 194 445 "
        "193 459 205 C475 218 467 242 433 274 L315 355 Z M738 344 L722 324 L713 332 "
        "L601 199 C583 177 552 174 530 192 C509 210 506 241 524 263 L636 396 L627 "
        "404 L644 424 Z M700 342 L588 209 C576 194 555 193 541 205 C525 218 533 242 "
        "567 274 L685 355 Z M328 422 C334 443 351 461 351 478 C351 491 341 501 328 "
        "501 C315 501 305 491 305 478 C305 461 322 443 328 422 Z M328 514 C334 535 "
        "351 553 351 570 C351 583 341 593 328 593 C315 593 305 583 305 570 C305 553 "
        "322 535 328 514 Z M672 422 C666 443 649 461 649 478 C649 491 659 501 672 "
        "501 C685 501 695 491 695 478 C695 461 678 443 672 422 Z M672 514 C666 535 "
        "649 553 649 570 C649 583 659 593 672 593 C685 593 695 583 695 570 C695 553 "
        "678 535 672 514 Z M208 600 L260 600 C278 606 274 626 296 629 C312 631 312 "
        "644 330 644 C350 644 344 628 364 625 C380 622 378 606 396 600 L484 600 "
        "L484 672 L272 672 Z M786 592 C764 600 748 600 740 598 C722 604 726 624 706 "
        "628 C688 631 690 644 672 644 C652 644 658 630 638 627 C620 624 622 604 602 "
        "600 C584 596 556 602 526 612 C504 620 508 642 532 640 C550 638 566 634 586 "
        "635 C596 636 596 642 586 643 C564 644 546 649 528 655 C508 663 514 683 536 "
        "680 C556 677 572 671 600 669 C588 680 580 690 570 702 C556 720 576 736 594 "
        "724 C616 708 632 704 656 704 C690 704 704 686 722 670 L744 650 Z M272 586 "
        "C239 554 294 528 265 490 C318 526 266 554 272 586 Z M384 586 C417 554 362 "
        "528 391 490 C338 526 390 554 384 586 Z M728 586 C761 554 706 528 735 490 "
        "C682 526 734 554 728 586 Z M616 586 C583 554 638 528 609 490 C662 526 610 "
        "554 616 586 Z"
    ),
    # Skull, one bone over the other.
    "GHS06": (
        "M500 186 C600 186 664 250 664 340 C664 388 648 420 622 440 C606 452 600 "
        "462 600 480 L600 512 C600 534 586 546 562 546 L438 546 C414 546 400 534 "
        "400 512 L400 480 C400 462 394 452 378 440 C352 420 336 388 336 340 C336 "
        "250 400 186 500 186 Z M432 318 C462 318 478 338 476 366 C474 394 452 408 "
        "424 404 C396 400 382 386 384 362 C386 336 404 318 432 318 Z M568 318 C538 "
        "318 522 338 524 366 C526 394 548 408 576 404 C604 400 618 386 616 362 C614 "
        "336 596 318 568 318 Z M500 398 C514 418 528 436 528 450 C528 464 510 466 "
        "500 452 C490 466 472 464 472 450 C472 436 486 418 500 398 Z M444 496 L456 "
        "496 L456 546 L444 546 Z M494 500 L506 500 L506 546 L494 546 Z M544 496 "
        "L556 496 L556 546 L544 546 Z M365 649 L621 541 C606 515 648 488 672 531 "
        "C686 529 689 535 677 544 C692 592 644 603 635 575 L379 683 C394 709 352 "
        "736 328 693 C314 695 311 689 323 680 C308 632 356 621 365 649 Z M564 619 "
        "L635 649 C644 621 692 632 677 680 C689 689 686 695 672 693 C648 736 606 "
        "709 621 683 L549 653 Z M451 571 L379 541 C394 515 352 488 328 531 C314 529 "
        "311 535 323 544 C308 592 356 603 365 575 L436 605 Z"
    ),
    # Exclamation mark.
    "GHS07": (
        "M430 226 C430 190 458 166 500 166 C542 166 570 190 570 226 C570 320 543 "
        "432 531 566 L469 566 C457 432 430 320 430 226 Z M500 616 C542 616 576 650 "
        "576 692 C576 734 542 768 500 768 C458 768 424 734 424 692 C424 650 458 616 "
        "500 616 Z"
    ),
    # Head and trunk with a star burst in the chest.
    "GHS08": (
        "M500 156 C546 156 574 190 572 240 C571 272 560 300 544 318 L544 350 C560 "
        "384 650 388 690 424 C712 444 716 480 716 520 L716 640 L652 704 L652 560 "
        "L632 560 L632 724 L572 784 L428 784 L368 724 L368 560 L348 560 L348 704 "
        "L284 640 L284 520 C284 480 288 444 310 424 C350 388 440 384 456 350 L456 "
        "318 C440 300 429 272 428 240 C426 190 454 156 500 156 Z M500 372 L518 506 "
        "568 480 542 530 620 548 542 566 568 616 518 590 500 698 482 590 432 616 "
        "458 566 380 548 458 530 432 480 482 506 Z"
    ),
    # A bare tree on the shore, a dead fish off it.
    "GHS09": (
        "M404 640 L416 566 345 502 288 462 350 490 420 540 424 474 366 404 330 336 "
        "378 394 428 446 432 366 402 306 390 250 412 296 434 340 442 206 452 344 "
        "486 296 502 238 498 300 454 372 456 440 522 380 566 318 532 390 458 468 "
        "460 522 532 478 592 438 540 494 464 552 482 640 L500 640 C516 658 528 684 "
        "548 708 C566 730 588 744 622 744 L362 744 L258 640 Z M536 596 C566 552 600 "
        "540 634 540 C672 540 700 562 722 584 L772 556 C764 584 764 610 774 636 "
        "L722 606 C700 630 668 648 632 648 C598 648 566 634 536 596 Z M578 572 L587 "
        "563 L596 572 L605 563 L614 572 L605 581 L614 590 L605 599 L596 590 L587 "
        "599 L578 590 L587 581 Z M640 556 C658 578 658 610 640 632 L629 628 C644 "
        "606 644 582 629 560 Z M560 668 C573 652 585 684 598 668 C611 652 623 684 "
        "636 668 C649 652 661 684 674 668 C687 652 699 684 712 668 L712 686 C699 "
        "702 687 670 674 686 C661 702 649 670 636 686 C623 702 611 670 598 686 C585 "
        "702 573 670 560 686 Z M592 706 C599 690 605 722 612 706 C619 690 625 722 "
        "632 706 C639 690 645 722 652 706 C659 690 665 722 672 706 L672 724 C665 "
        "740 659 708 652 724 C645 740 639 708 632 724 C625 740 619 708 612 724 C605 "
        "740 599 708 592 724 Z"
    ),
}
