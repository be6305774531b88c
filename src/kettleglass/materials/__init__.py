"""What can be bought or made: figures with their sources, the catalogue, compositions and doubts."""
