# Frames as in PROTOCOL.md, section 1: COBS(message + CRC) 00.
use strict;
use warnings;

sub crc16 {
    my ($bytes, $crc) = (shift, 0xFFFF);
    for my $byte (unpack 'C*', $bytes) {
        $crc ^= $byte << 8;
        $crc = ($crc & 0x8000 ? ($crc << 1) ^ 0x1021 : $crc << 1) & 0xFFFF for 1 .. 8;
    }
    return $crc;
}

sub encode {
    my ($message) = @_;
    my $with_crc = $message . pack 'n', crc16($message);
    return join('', map { chr(length($_) + 1) . $_ } split(/\0/, $with_crc, -1)) . "\0";
}

# The message in a frame (without its final zero); undef when it is bad.
sub decode {
    my ($frame) = @_;
    return undef if length $frame > 121;
    my @runs;
    while (length $frame) {
        my $run = ord substr $frame, 0, 1, '';
        return undef if $run - 1 > length $frame;
        push @runs, substr $frame, 0, $run - 1, '';
    }
    my $message = join "\0", @runs;
    return undef if length $message < 3 || crc16($message) != 0;
    return substr $message, 0, -2;
}

# Takes whole frames out of a buffer: messages, and undef for each bad frame. An empty one is none.
sub take_frames {
    my ($buffer) = @_;
    my @found;
    while ($$buffer =~ s/^([^\0]*)\0//s) {
        push @found, decode($1) if length $1;
    }
    return @found;
}

1;
