# CRC, COBS and framing of the protocol (PROTOCOL.md section 1), for board.pl and host.pl.
use strict;
use warnings;
use Time::HiRes qw(clock_gettime CLOCK_MONOTONIC);

use constant { MAX_MESSAGE => 120, MAX_ENCODED => 121 };

sub monotonic { return clock_gettime(CLOCK_MONOTONIC) }

sub crc16 {    # CRC-16/IBM-3740
    my ($bytes) = @_;
    my $crc = 0xFFFF;
    for my $byte (unpack 'C*', $bytes) {
        $crc ^= $byte << 8;
        $crc = ($crc & 0x8000 ? ($crc << 1) ^ 0x1021 : $crc << 1) & 0xFFFF for 1 .. 8;
    }
    return $crc;
}

sub cobs_encode { return join '', map { chr(length($_) + 1) . $_ } split /\0/, $_[0], -1 }

sub cobs_decode {    # undef when it is not valid
    my ($in) = @_;
    my @runs;
    while (length $in) {
        my $run = ord($in) - 1;
        return undef if $run < 0 || $run > length($in) - 1;
        push @runs, substr $in, 1, $run;
        $in = substr $in, $run + 1;
    }
    return join "\0", @runs;
}

sub frame {
    my ($message) = @_;
    return cobs_encode($message . pack('n', crc16($message))) . "\0";
}

sub receiver { return { buffer => '', skip => 0 } }

# Takes bytes from the line; returns the good messages (without CRC) and the number of bad frames, in order:
# a list in which a bad frame is undef.
sub receive {
    my ($rx, $bytes) = @_;
    my @found;
    for my $piece (split /(\0)/, $bytes) {
        if ($piece ne "\0") {
            next if $rx->{skip};
            $rx->{buffer} .= $piece;
            next if length $rx->{buffer} <= MAX_ENCODED;
            @$rx{qw(buffer skip)} = ('', 1);    # too long: counted once, however long
            push @found, undef;
            next;
        }
        my $coded = $rx->{buffer};
        my $skipped = $rx->{skip};
        @$rx{qw(buffer skip)} = ('', 0);
        next if $skipped || $coded eq '';
        my $plain = cobs_decode($coded);
        my $good = defined $plain && length $plain >= 3 && crc16($plain) == 0;
        push @found, $good ? substr($plain, 0, -2) : undef;
    }
    return @found;
}

# Is this 16-bit number newer than the last one (section 4.3)?
sub newer { my $step = ($_[0] - $_[1]) & 0xFFFF; return $step >= 1 && $step <= 32767 }

1;
